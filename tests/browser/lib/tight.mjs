// The script of the search in short names and without comments, from its parts.

import fs from "node:fs";
import { minify } from "terser";

/** In the order in which they lean on one another. Without the last they are the search alone, which knows no page. */
export const PARTS = ["search-words.js", "search-engine.js", "search-page.js"];

/** These parts as one script. */
export async function tight(names) {
  const parts = Object.fromEntries(names.map((name) => [name, fs.readFileSync(new URL(`../../../themes/scripts/${name}`, import.meta.url), "utf8")]));
  // Lines of a readable length, so that a change of the script can be seen among others.
  return (await minify(parts, { compress: { passes: 2 }, mangle: true, format: { max_line_len: 160 } })).code;
}
