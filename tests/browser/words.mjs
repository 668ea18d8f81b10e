// Analyses texts with the search page's script. `node words.mjs < TEXTS`
// A line of JSON for each text in; out, for each, its tokens with spelling, stem and term.

import fs from "node:fs";
import vm from "node:vm";
import { requests } from "./lib/runtime.mjs";

const forms = fs.readFileSync(new URL("../../src/data/word-forms.yaml", import.meta.url), "utf8");
const context = vm.createContext({});
vm.runInContext(fs.readFileSync(new URL("../../themes/default/assets/search.js", import.meta.url), "utf8"), context);
const { words } = context.casewright;
const lines = forms.split("\n").filter((line) => line && !line.startsWith("#")).map((line) => line.split(": "));
words.learn([].concat(...lines.map(([term, list]) => [].concat(...list.slice(1, -1).split(", ").map((form) => [form, term])))));
const told = (await requests()).map((text) => {
  // Node.js and Rust may know different editions of Unicode.
  if (/\p{Cn}/u.test(text)) return "unassigned";
  return words.tokens(text).map((token) => [token, words.american(token), words.stem(token), words.term(token)]);
});
process.stdout.write(told.map((line) => `${JSON.stringify(line)}\n`).join(""));
