// Gate: the preview in real browsers. `node preview.mjs CASEWRIGHT`
// An open page follows its file with its place and open parts kept; what is wrong stands above it and goes when mended.

import { spawn } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { launch, open, visit } from "./lib/browsers.mjs";
import { Tally, timed } from "./lib/tally.mjs";

const [casewright] = process.argv.slice(2);
if (!casewright) throw new Error("usage: node preview.mjs CASEWRIGHT");

const NAME = "the-weaver";
const tally = new Tally();
const work = fs.mkdtempSync(path.join(os.tmpdir(), "casewright-preview-"));
const library = path.join(work, "library");

/** Starts the preview; resolves with its address once it tells it, and with a way to end it as a person would. */
function start() {
  const child = spawn(casewright, ["preview", library, "--port", "0"], { stdio: ["ignore", "ignore", "pipe"] });
  let said = "";
  const ended = new Promise((resolve) => child.once("exit", (code, signal) => resolve({ code, signal, said })));
  return new Promise((resolve, reject) => {
    child.stderr.on("data", (bytes) => {
      said += bytes;
      const told = /Open (http:\S+)/.exec(said);
      if (told) resolve({ base: told[1], end: () => (child.kill("SIGINT"), ended) });
    });
    ended.then(() => reject(new Error(`the preview ended: ${said}`)));
  });
}

/** Waits until `look` gives something true in the page, through reloads; gives what it gave last. */
async function until(page, look, ...given) {
  let seen;
  for (let tries = 0; tries < 300; tries += 1) {
    // While a page is exchanged there is nothing to ask.
    seen = await page.evaluate(look, ...given).catch(() => undefined);
    if (seen) return seen;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  return seen;
}

const place = (page) => page.evaluate(() => ({
  y: Math.round(scrollY),
  open: [...document.querySelectorAll("main details")].map((part) => part.open),
  strip: document.querySelector("#_preview")?.innerText ?? "",
  loads: performance.getEntriesByType("navigation")[0].type,
}));

/** All that is checked in one browser. */
async function run(name) {
  const file = path.join(library, `${NAME}.md`);
  const sound = fs.readFileSync(path.join("cases", `${NAME}.md`), "utf8");
  fs.writeFileSync(file, sound);
  const session = await launch(name);
  const preview = await start();
  try {
    const { page, faults } = await open(session);
    await page.setViewport({ width: 1280, height: 700 });
    await visit(page, `${preview.base}cases/${NAME}-ask.html`);
    await page.evaluate(() => {
      document.querySelectorAll("main details").forEach((part, at) => { part.open = at === 0; });
      scrollTo({ top: 300, behavior: "instant" });
    });
    const before = await place(page);
    tally.check(before.y > 200 && before.open[0] && before.strip === "", `${name}: the page stands scrolled, a part open, no strip`, before);

    fs.writeFileSync(file, sound.replace(/^ask_title: .*$/m, "ask_title: Changed while somebody looked."));
    // Deferred scripts have run once a page is complete.
    await until(page, () => document.readyState === "complete" && document.body.innerText.includes("Changed while somebody looked."));
    const changed = await place(page);
    tally.check(changed.loads === "reload", `${name}: a saved change is seen`, changed);
    tally.check(Math.abs(changed.y - before.y) < 60, `${name}: the place on the page is kept`, { before, changed });
    tally.check(JSON.stringify(changed.open) === JSON.stringify(before.open), `${name}: open parts stay open`, { before, changed });

    await page.evaluate(() => { window.stays = true; });
    fs.writeFileSync(file, sound.replace(/^eye: /m, "eye: un"));
    await until(page, () => document.querySelector("#_preview")?.innerText.includes("line"));
    const broken = await page.evaluate(() => ({
      text: document.querySelector("#_preview")?.innerText ?? "",
      role: document.querySelector("#_preview")?.getAttribute("role"),
      stays: window.stays,
      page: document.body.innerText.includes("Changed while somebody looked."),
    }));
    tally.check(broken.text.includes(`${NAME}.md, line `) && broken.text.includes("To mend it: write"), `${name}: what is wrong is told`, broken);
    tally.check(broken.role === "alert" && broken.stays && broken.page, `${name}: it stands above the last sound page, which is not loaded anew`, broken);

    // By keyboard alone it can be folded away.
    await page.focus("#_preview summary");
    await page.keyboard.press("Enter");
    tally.check(await page.evaluate(() => !document.querySelector("#_preview details").open), `${name}: the strip folds with a key`);
    await page.keyboard.press("Enter");
    await page.setViewport({ width: 360, height: 700 });
    const narrow = await page.evaluate(() => ({ page: document.documentElement.scrollWidth, window: innerWidth }));
    tally.check(narrow.page <= narrow.window, `${name}: at 360 px nothing sticks out`, narrow);
    await page.setViewport({ width: 1280, height: 700 });

    fs.writeFileSync(file, sound);
    await until(page, () => !document.querySelector("#_preview") && !document.body.innerText.includes("Changed while"));
    const mended = await page.evaluate(() => ({ strip: Boolean(document.querySelector("#_preview")), text: document.body.innerText.includes("Changed while") }));
    tally.check(!mended.strip && !mended.text, `${name}: mended, the strip is gone and the page is as it was`, mended);

    // An editor that removes the file for a while.
    fs.rmSync(file);
    await until(page, () => document.title === "No such page");
    tally.check((await page.title()) === "No such page", `${name}: a page that is gone is said to be gone`);
    fs.writeFileSync(file, sound);
    await until(page, () => document.readyState === "complete" && document.querySelector("main details"));
    tally.check((await place(page)).open.length === before.open.length, `${name}: it comes back by itself`);
    // The page that was missing is the one thing that a browser complains of.
    tally.none(faults.filter((fault) => !/404/.test(fault) && !/request failed.*~preview\/news/.test(fault)), `${name}: no script fails, no policy is broken`);
  } finally {
    const ended = await preview.end();
    tally.check(ended.code === 0 && ended.said.includes("The preview has ended; nothing was written."), `${name}: Ctrl-C ends it`, ended);
    await session.close();
  }
}

fs.cpSync("cases", library, { recursive: true });
try {
  for (const name of ["chromium", "firefox"]) await timed(name, () => run(name));
} finally {
  fs.rmSync(work, { recursive: true, force: true });
}
tally.close();
