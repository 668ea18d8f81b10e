// The search page's script without its page: for Node.js, and for a page of a browser that has nothing else.

import fs from "node:fs";
import path from "node:path";
import vm from "node:vm";
import { pathToFileURL } from "node:url";

/** The script of a site, or of a folder that holds an index alone. */
export function runtimeFile(root) {
  const assets = path.join(root, "assets");
  const named = fs.existsSync(assets) && fs.readdirSync(assets).find((name) => /^search-.*\.js$/.test(name));
  return named ? path.join(assets, named) : path.join(root, "search-runtime.js");
}

/** The folder of the parts, as the pointer names it. */
export const folderOf = (root) => /"(.*)"/.exec(fs.readFileSync(path.join(root, "search.js"), "utf8"))[1];

/** What a browser's `atob` gives. That of Node.js looks up each letter in a list, and takes seconds where this takes none. */
const latin = (text) => Buffer.from(text, "base64").toString("latin1");

/** The script's names, read with an engine whose parts come from `root`. `loaded` is told the key and size of each part. */
export function runtime(root, loaded = () => {}) {
  const told = {};
  const context = vm.createContext({ TextDecoder, atob: latin, casewright_part: (key, value) => { told[key] = value; } });
  vm.runInContext(fs.readFileSync(runtimeFile(root), "utf8"), context);
  const folder = root && path.join(root, folderOf(root));
  const load = async (key) => {
    const text = fs.readFileSync(path.join(folder, `${key}.js`), "utf8");
    loaded(key, Buffer.byteLength(text));
    vm.runInContext(text, context);
    const value = told[key];
    delete told[key];
    return value;
  };
  const { casewright } = context;
  return { words: casewright.words, engine: () => casewright.engine(load) };
}

/** An answer in the words of the comparison with the program. */
export async function answerOf(engine, about, request) {
  const found = await engine.answer(request);
  const counts = await Promise.all(about.groups.map((_, group) => engine.counts(found, group)));
  return {
    hits: found.hits.map(({ document, score, whole }) => [document, score, whole]),
    whole: found.whole,
    all: found.all,
    counts: [].concat(...counts),
    terms: found.query.units.map((unit) => unit.alternatives.map(({ term, weight }) => [term, weight])),
    loose: found.query.loose,
  };
}

/** The lines of standard input, each read as JSON. */
export async function requests() {
  let text = "";
  process.stdin.setEncoding("utf8");
  for await (const part of process.stdin) text += part;
  return text.split("\n").filter(Boolean).map((line) => JSON.parse(line));
}

/** Writes a page with nothing but scripts into a folder: files of it, then these lines. Gives its address. */
export function bare(root, name, files, lines) {
  const file = path.join(root, `${name}.html`);
  const scripts = files.map((source) => `<script src="${source}"></script>`).join("");
  fs.writeFileSync(file, `<!DOCTYPE html><meta charset="utf-8"><title>${name}</title>${scripts}<script>${lines}</script>`);
  return pathToFileURL(path.resolve(file)).href;
}

/** The lines of a page that reads the index of its folder: `window.fresh()` gives an engine that has read nothing but `about`. */
export const reader = (root) => `{
  const waiting = new Map();
  window.casewright_part = (key, value) => waiting.get(key)(value);
  const load = (key) => new Promise((resolve, reject) => {
    const element = document.createElement("script");
    waiting.set(key, (value) => {
      element.remove();
      resolve(value);
    });
    element.onerror = () => reject(new Error(key));
    element.src = ${JSON.stringify(folderOf(root))} + key + ".js";
    document.head.append(element);
  });
  window.fresh = async () => {
    const engine = casewright.engine(load);
    window.about = await engine.start();
    return engine;
  };
}`;

/** A page of a browser that has nothing but the script, opened from the folder, with what `reader` gives it. */
export async function engineInBrowser(browser, root, more = []) {
  const { launch, open, visit } = await import("./browsers.mjs");
  const address = bare(root, "engine", [path.relative(root, runtimeFile(root)), ...more], reader(root));
  const session = await launch(browser);
  const { page, faults } = await open(session);
  await visit(page, address);
  const inspector = browser === "chromium" ? await page.createCDPSession() : null;
  return {
    page,
    faults,
    /** Bytes of the page's heap after all that nobody needs is gone. */
    heap: async () => {
      await inspector.send("HeapProfiler.enable");
      await inspector.send("HeapProfiler.collectGarbage");
      return (await inspector.send("Runtime.getHeapUsage")).usedSize;
    },
    close: () => session.close(),
  };
}
