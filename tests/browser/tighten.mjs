// The script of the search page as it travels: its three parts as one, without comments, in short names. A ward's network
// carries it to every reader. `node tighten.mjs` writes it anew; `node tighten.mjs --check` is a gate that fails when the
// script that ships is not what its parts make.

import fs from "node:fs";
import { fileURLToPath } from "node:url";
import { PARTS, tight } from "./lib/tight.mjs";

const ships = fileURLToPath(new URL("../../themes/default/assets/search.js", import.meta.url));
const made = `// Made from themes/scripts by tests/browser/tighten.mjs; change it there.\n${await tight(PARTS)}\n`;
if (process.argv.includes("--check")) {
  const same = fs.readFileSync(ships, "utf8") === made;
  if (!same) console.log("themes/default/assets/search.js is not what themes/scripts makes: run node tests/browser/tighten.mjs");
  console.log(`  ${same ? 1 : 0} passed, ${same ? 0 : 1} failed`);
  process.exit(same ? 0 : 1);
}
fs.writeFileSync(ships, made);
console.log(`${made.length} bytes`);
