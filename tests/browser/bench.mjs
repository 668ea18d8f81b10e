// Bytes and times of the search, beside MiniSearch on the same documents. `node bench.mjs FOLDER < REQUESTS`
// FOLDER holds an index, its script and `documents.jsonl`. Cold: the script has read nothing but the index's `about`.

import fs from "node:fs";
import path from "node:path";
import readline from "node:readline";
import { createRequire } from "node:module";
import { alone } from "./lib/alone.mjs";
import { engineInBrowser, folderOf, reader, requests, runtime, runtimeFile } from "./lib/runtime.mjs";
import { PARTS, tight } from "./lib/tight.mjs";

const [root] = process.argv.slice(2);
const asked = await requests();
const say = (text) => console.log(JSON.stringify(text));
const kb = (bytes) => `${(bytes / 1024).toFixed(1)} KB`;
const mb = (bytes) => `${(bytes / 1e6).toFixed(1)} MB`;
const at = (list, share) => [...list].sort((one, other) => one - other)[Math.floor((list.length - 1) * share)];
const spread = (list, show) => `p50 ${show(at(list, 0.5))}, p95 ${show(at(list, 0.95))}, most ${show(at(list, 1))}`;
const spreadOf = ([p50, p95, most]) => `p50 ${ms(p50)}, p95 ${ms(p95)}, most ${ms(most)}`;
const ms = (time) => `${time.toFixed(1)} ms`;

// What lies on the disk.
const folder = path.join(root, folderOf(root));
const sizes = {};
for (const entry of fs.readdirSync(folder, { recursive: true, withFileTypes: true })) {
  if (entry.isDirectory()) continue;
  const kind = path.relative(folder, path.join(entry.parentPath ?? entry.path, entry.name)).split(path.sep)[0].replace(".js", "");
  sizes[kind] ??= { files: 0, bytes: 0 };
  sizes[kind].files += 1;
  sizes[kind].bytes += fs.statSync(path.join(entry.parentPath ?? entry.path, entry.name)).size;
}
const { documents } = await runtime(root).engine().start();
const of = (...kinds) => kinds.reduce((sum, kind) => sum + (sizes[kind]?.bytes ?? 0), 0);
say(`Parts: ${Object.entries(sizes).map(([kind, { files, bytes }]) => `${kind} ${files} files ${mb(bytes)}`).join("; ")}.`);
say(`For each case: index ${(of("d", "p", "l", "c", "f", "v") / documents / 1024).toFixed(3)} KB, metadata ${(of("m") / documents / 1024).toFixed(3)} KB.`);
// The search itself is what answers a query; the script that ships holds the page's interface beside it.
const [engine, script] = [Buffer.byteLength(await tight(PARTS.slice(0, 2))), fs.statSync(runtimeFile(root)).size];
say(`Search ${kb(engine)} and about ${kb(of("about"))}: ${kb(engine + of("about"))}. With the page's interface: ${kb(script + of("about"))}.`);

// Bytes of a query, and of the first letters.
async function cost(request) {
  const told = { index: 0, cards: 0, parts: 0 };
  const engine = runtime(root, (key, size) => {
    if (key === "about") return;
    told[/^[mv]/.test(key) ? "cards" : "index"] += size;
    told.parts += 1;
  }).engine();
  await engine.start();
  const found = await engine.answer(request);
  await engine.values();
  await Promise.all(found.hits.map((hit) => engine.card(hit.document)));
  return told;
}
const costs = [];
for (const request of asked) costs.push(await cost(request));
say(`A query of two or three words, nothing cached: ${spread(costs.map((it) => it.index), kb)}; metadata ${spread(costs.map((it) => it.cards), kb)}; parts ${spread(costs.map((it) => it.parts), String)}.`);
for (const typed of ["pos", "pha", "mac", "con"]) {
  const { index, cards } = await cost({ typed, most: 10 });
  say(`First search “${typed}”: ${kb(index)}, metadata ${kb(cards)}.`);
}

// Times in Chromium from file://, with nobody watching. Warm: the median of three times the same query after it was answered
// once; what a browser tidies up after loading falls on one of them at most.
const told = await alone(root, [path.relative(root, runtimeFile(root))], `${reader(root)}
  (async () => {
    const asked = ${JSON.stringify(asked)}, told = {};
    const timed = async (engine, request) => {
      const begun = performance.now();
      const found = await engine.answer(request);
      await Promise.all(found.hits.map((hit) => engine.card(hit.document)));
      return performance.now() - begun;
    };
    told.cold = [];
    for (const request of asked) told.cold.push(await timed(await fresh(), request));
    told.warm = [];
    const engine = await fresh();
    for (const request of asked) {
      await timed(engine, request);
      const three = [];
      while (three.length < 3) three.push(await timed(engine, request));
      told.warm.push(three.sort((one, other) => one - other)[1]);
    }
    // A title has room for little.
    const at = ${at.toString()};
    for (const kind of Object.keys(told)) told[kind] = [0.5, 0.95, 1].map((share) => at(told[kind], share));
    document.title = JSON.stringify(told);
  })();`);
const { page, close, heap } = await engineInBrowser("chromium", root);
await page.evaluate(async (list) => {
  window.kept = await window.fresh();
  for (const request of list) await window.kept.answer(request);
}, asked);
say(`Chromium, file://: cold ${spreadOf(told.cold)}; warm ${spreadOf(told.warm)}; heap after ${asked.length} queries ${mb(await heap())}.`);
await close();

// MiniSearch 7 with its defaults, words begun and mended as its guide has it, on the same documents.
const MiniSearch = createRequire(import.meta.url)("minisearch");
const fields = ["title", "complications", "techniques", "lessons", "body"];
const options = { fields, storeFields: ["title"] };
const other = new MiniSearch(options);
let begun = performance.now();
for await (const line of readline.createInterface({ input: fs.createReadStream(path.join(root, "documents.jsonl")) })) other.add(JSON.parse(line));
const built = (performance.now() - begun) / 1000;
const text = JSON.stringify(other);
fs.writeFileSync(path.join(root, "other.js"), `window.text=${JSON.stringify(text)}`);
fs.copyFileSync(createRequire(import.meta.url).resolve("minisearch").replace(/dist\/.*$/, "dist/umd/index.js"), path.join(root, "minisearch.js"));
say(`MiniSearch: built in ${built.toFixed(1)} s, index ${mb(Buffer.byteLength(text))}.`);
const beside = await engineInBrowser("chromium", root, ["minisearch.js"]);
const figures = await beside.page.evaluate(async (options, list) => {
  let begun = performance.now();
  await new Promise((resolve, reject) => {
    const element = document.createElement("script");
    Object.assign(element, { onload: resolve, onerror: reject, src: "other.js" });
    document.head.append(element);
  });
  const script = performance.now() - begun;
  begun = performance.now();
  const index = MiniSearch.loadJSON(window.text, options);
  const load = performance.now() - begun;
  delete window.text;
  const times = list.map(({ typed }) => {
    const begun = performance.now();
    index.search(typed, { prefix: (_, at, terms) => at === terms.length - 1 });
    return performance.now() - begun;
  });
  window.kept = index;
  return { script, load, times };
}, options, asked.slice(0, 200));
say(`MiniSearch, Chromium, file://: script ${(figures.script / 1000).toFixed(1)} s, load ${(figures.load / 1000).toFixed(1)} s, query ${spread(figures.times, ms)}, heap ${mb(await beside.heap())}.`);
await beside.close();
