// The pictures of the README, taken from the demo's site. `node pictures.mjs SITE` takes them anew; `node pictures.mjs` is a
// gate that fails when the theme is no longer the one they were taken from, so that they cannot go stale unseen.

import crypto from "node:crypto";
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL, fileURLToPath } from "node:url";
import { launch, open, visit } from "./lib/browsers.mjs";

const here = path.dirname(fileURLToPath(import.meta.url));
const out = path.resolve(here, "../pictures");
const theme = path.resolve(here, "../../themes/default");

/** What the pictures depend on besides the words of the cases: every file of the theme, in order of path. */
function taken() {
  const files = fs.readdirSync(theme, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
  const paths = files.map((entry) => path.relative(theme, path.join(entry.parentPath ?? entry.path, entry.name)).split(path.sep).join("/")).sort();
  const hash = crypto.createHash("sha256");
  for (const name of paths) hash.update(`${name}\n`).update(fs.readFileSync(path.join(theme, name)));
  return hash.digest("hex");
}

const note = path.join(out, "taken-from.txt");
const [site] = process.argv.slice(2);
if (!site) {
  const fresh = fs.existsSync(note) && fs.readFileSync(note, "utf8").trim() === taken();
  const missing = [...fs.readFileSync(path.resolve(here, "../../README.md"), "utf8").matchAll(/\((tests\/pictures\/[^)]+)\)/g)].filter(([, file]) => !fs.existsSync(path.resolve(here, "../..", file)));
  if (!fresh) console.log("The theme changed since the README's pictures were taken: compile the demo and run node tests/browser/pictures.mjs SITE");
  for (const [, file] of missing) console.log(`README.md shows ${file}, which is not there`);
  const failed = (fresh ? 0 : 1) + missing.length;
  console.log(`  ${2 - Math.min(failed, 2)} passed, ${failed} failed`);
  process.exit(failed ? 1 : 0);
}

const SHOTS = [
  { name: "home", page: "index.html", scheme: "light" },
  { name: "operation", page: "cases/amber-light.html", scheme: "light", at: "figure.pair" },
  { name: "decision", page: "cases/a-fixed-smudge-ask.html", scheme: "dark", at: ".decision" },
  { name: "complication", page: "concepts/posterior-capsule-rupture.html", scheme: "light" },
];

const session = await launch("chromium");
const { page } = await open(session);
await page.setViewport({ width: 1000, height: 720 });
for (const { name, page: address, scheme, at } of SHOTS) {
  await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
  await visit(page, `${pathToFileURL(path.resolve(site)).href}/${address}`);
  await page.evaluate(() => document.fonts.ready.then(() => true));
  if (at) await page.$eval(at, (element) => scrollTo(0, element.getBoundingClientRect().top + scrollY - 40));
  await page.screenshot({ path: path.join(out, `${name}.png`) });
}
await session.close();

fs.writeFileSync(note, `${taken()}\n`);
console.log(`${SHOTS.length} pictures in ${out}`);
