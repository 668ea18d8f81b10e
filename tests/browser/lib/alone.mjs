// Times in a browser that nobody watches. An inspector that is told of every request makes each part of an index take twice
// as long as it takes a reader, so the page times itself and tells by its title, which can be asked for without one.

import { spawn } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { program } from "./browsers.mjs";

/** So many seconds a page may take. */
const PATIENCE = 600;

/** Runs a page's script in Chromium, from a file, and gives what it put into `document.title` as JSON. */
export async function alone(root, name, scripts, body) {
  const file = path.join(root, `${name}.html`);
  const sources = scripts.map((source) => `<script src="${source}"></script>`).join("");
  fs.writeFileSync(file, `<!DOCTYPE html><meta charset="utf-8"><title>…</title>${sources}<script>${body}</script>`);
  const profile = fs.mkdtempSync(path.join(os.tmpdir(), "casewright-alone-"));
  const child = spawn(program("chromium", "chromium-browser"), [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-background-networking", "--no-first-run",
    "--disable-component-update", "--disable-sync", `--user-data-dir=${profile}`, "--remote-debugging-port=0",
    pathToFileURL(path.resolve(file)).href,
  ], { stdio: "ignore" });
  try {
    for (let second = 0; second < PATIENCE; second += 1) {
      await new Promise((resolve) => setTimeout(resolve, 1000));
      const told = path.join(profile, "DevToolsActivePort");
      if (!fs.existsSync(told)) continue;
      const pages = await (await fetch(`http://127.0.0.1:${fs.readFileSync(told, "utf8").split("\n")[0]}/json`)).json();
      const title = pages.find((page) => page.type === "page")?.title ?? "";
      const plain = title.replace(/&quot;/g, '"').replace(/&lt;/g, "<").replace(/&amp;/g, "&");
      if (plain.startsWith("{")) return JSON.parse(plain);
    }
    throw new Error(`${file} told nothing in ${PATIENCE} s`);
  } finally {
    const gone = new Promise((resolve) => child.once("exit", resolve));
    child.kill();
    await gone;
    fs.rmSync(profile, { recursive: true, force: true, maxRetries: 20, retryDelay: 100 });
  }
}

/** The lines of a page that reads an index: `fresh()` gives an engine that has read nothing. */
export const reader = (folder) => `
  const waiting = new Map();
  window.casewright_part = (key, value) => waiting.get(key)(value);
  const load = (key) => new Promise((resolve, reject) => {
    const element = document.createElement("script");
    waiting.set(key, (value) => { element.remove(); resolve(value); });
    element.onerror = () => reject(new Error(key));
    element.src = ${JSON.stringify(folder)} + key + ".js";
    document.head.append(element);
  });
  const fresh = async () => {
    const engine = casewright.engine(load);
    await engine.start();
    return engine;
  };`;
