// Pictures of every kind of page, to look at: narrow and wide, light and dark, and as printed on A4. `node shots.mjs SITE OUT`
// No gate: whether a page is good to look at, somebody has to see.

import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { launch, open, visit } from "./lib/browsers.mjs";
import { kinds } from "./lib/site.mjs";

const [site, out] = process.argv.slice(2);
if (!out) throw new Error("usage: node shots.mjs SITE OUT");
fs.mkdirSync(out, { recursive: true });

/** Taller pictures a browser refuses to take. */
const TALLEST = 16000;

const session = await launch("chromium");
const { page } = await open(session);
const base = pathToFileURL(path.resolve(site)).href + "/";
const pages = kinds(site);
const answered = { ...pages.find(({ kind }) => kind === "ask"), kind: "ask-answered" };
for (const { kind, page: name } of [...pages, answered]) {
  await visit(page, base + name);
  if (kind === "ask-answered") await page.evaluate(() => document.querySelectorAll("details").forEach((it) => (it.open = true)));
  for (const width of [360, 1280]) {
    for (const scheme of ["light", "dark"]) {
      await page.setViewport({ width, height: 900 });
      await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
      const height = Math.min(await page.evaluate(() => document.documentElement.scrollHeight), TALLEST);
      const file = path.join(out, `${kind.replace(/[^a-z0-9]+/g, "-")}-${width}-${scheme}.png`);
      await page.screenshot({ path: file, clip: { x: 0, y: 0, width, height }, captureBeyondViewport: true });
    }
  }
  await page.pdf({ path: path.join(out, `${kind.replace(/[^a-z0-9]+/g, "-")}.pdf`), format: "a4", preferCSSPageSize: false });
}
await session.close();
console.log(`${(pages.length + 1) * 4} pictures and ${pages.length + 1} prints in ${out}`);
