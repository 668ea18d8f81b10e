// The script of the search page as it travels: its three parts as one, without comments, in short names. A ward's network
// carries it to every reader. `node tighten.mjs` writes it anew; `node tighten.mjs --check` is a gate that fails when the
// script that ships is not what its parts make.

import fs from "node:fs";
import { fileURLToPath } from "node:url";
import { minify } from "terser";

const themes = new URL("../../themes/", import.meta.url);
const ships = fileURLToPath(new URL("default/assets/search.js", themes));
/** In the order in which they lean on one another. */
const PARTS = ["search-words.js", "search-engine.js", "search-page.js"];

const parts = Object.fromEntries(PARTS.map((name) => [name, fs.readFileSync(new URL(`scripts/${name}`, themes), "utf8")]));
// Lines of a readable length, so that a change of the script can be seen among others.
const { code } = await minify(parts, { compress: { passes: 2 }, mangle: true, format: { max_line_len: 160 } });
const made = `// Made from themes/scripts by tests/browser/tighten.mjs; change it there.\n${code}\n`;
if (process.argv.includes("--check")) {
  const same = fs.readFileSync(ships, "utf8") === made;
  if (!same) console.log("themes/default/assets/search.js is not what themes/scripts makes: run node tests/browser/tighten.mjs");
  console.log(`  ${same ? 1 : 0} passed, ${same ? 0 : 1} failed`);
  process.exit(same ? 0 : 1);
}
fs.writeFileSync(ships, made);
console.log(`${made.length} bytes`);
