// Times in a browser that nobody watches. An inspector that is told of every request makes each part of an index take twice
// as long as it takes a reader, so the page times itself and tells by its title, which can be asked for without one.

import { spawn } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { CHROMIUM, program } from "./browsers.mjs";
import { bare } from "./runtime.mjs";

/** So many seconds a page may take. */
const PATIENCE = 600;

/** A page that fails tells so at once, by the same way. */
const FAULTS = `for (const kind of ["error", "unhandledrejection"]) {
  addEventListener(kind, (event) => { document.title = JSON.stringify({ fault: String(event.reason ?? event.message) }); });
}`;

/** Runs lines in a page of Chromium, behind these files of a folder, and gives what they put into `document.title` as JSON. */
export async function alone(root, files, lines) {
  const address = bare(root, "alone", files, `${FAULTS}\n${lines}`);
  const profile = fs.mkdtempSync(path.join(os.tmpdir(), "casewright-alone-"));
  const started = ["--headless", ...CHROMIUM, `--user-data-dir=${profile}`, "--remote-debugging-port=0", address];
  const child = spawn(program("chromium", "chromium-browser"), started, { stdio: "ignore" });
  const gone = new Promise((resolve) => child.once("exit", resolve));
  try {
    for (let second = 0; second < PATIENCE; second += 1) {
      await Promise.race([gone, new Promise((resolve) => setTimeout(resolve, 1000))]);
      if (child.exitCode !== null || child.signalCode !== null) throw new Error("Chromium ended before its page told anything");
      const told = path.join(profile, "DevToolsActivePort");
      if (!fs.existsSync(told)) continue;
      const pages = await (await fetch(`http://127.0.0.1:${fs.readFileSync(told, "utf8").split("\n")[0]}/json`)).json();
      const title = pages.find((page) => page.type === "page")?.title ?? "";
      const plain = title.replace(/&quot;/g, '"').replace(/&lt;/g, "<").replace(/&amp;/g, "&");
      if (!plain.startsWith("{")) continue;
      const found = JSON.parse(plain);
      if (found.fault) throw new Error(`the page failed: ${found.fault}`);
      return found;
    }
    throw new Error(`${address} told nothing in ${PATIENCE} s`);
  } finally {
    child.kill();
    await gone;
    // Its helpers end a little later and still write: the folder goes when they have.
    for (let left = 50; fs.existsSync(profile) && left > 0; left -= 1) {
      try {
        fs.rmSync(profile, { recursive: true, force: true });
      } catch (why) {
        if (left === 1) console.error(`${profile} is left: ${why.message}`);
        await new Promise((resolve) => setTimeout(resolve, 100));
      }
    }
  }
}
