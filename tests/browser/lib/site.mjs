// A published site as a folder of files, and one page of each kind in it.

import fs from "node:fs";
import path from "node:path";
import { attributes, elements, parse } from "./html.mjs";

/** The six kinds of concept and the list page of each. */
export const LISTS = {
  complication: "complications.html",
  technique: "techniques.html",
  finding: "findings.html",
  outcome: "outcomes.html",
  material: "materials.html",
  instrument: "instruments.html",
};

/** Every file under `root`, as sorted relative paths with `/`. */
export function files(root) {
  return fs
    .readdirSync(root, { recursive: true, withFileTypes: true })
    .filter((entry) => !entry.isDirectory())
    .map((entry) => path.relative(root, path.join(entry.parentPath ?? entry.path, entry.name)).split(path.sep).join("/"))
    .sort();
}

/** The bytes of a file of the site. */
export const bytes = (root, name) => fs.readFileSync(path.join(root, name));

/** The text of a file of the site. */
export const text = (root, name) => bytes(root, name).toString("utf8");

/** Every page at the top of the site, and one page of each kind below it: `[{ kind, page }]`. Throws if a kind is missing. */
export function kinds(root) {
  const all = files(root).filter((name) => name.endsWith(".html"));
  const found = all.filter((name) => !name.includes("/")).map((page) => ({ kind: page.replace(/\.html$/, ""), page }));
  for (const needed of ["index.html", "cases.html", "glossary.html", "methods.html", ...Object.values(LISTS)]) {
    if (!all.includes(needed)) throw new Error(`the site has no ${needed}`);
  }

  // The case with most decisions shows most; its three pages stand for all cases.
  const asks = all.filter((name) => /^cases\/.*-ask\.html$/.test(name));
  const decisions = (name) => text(root, name).split("<form").length;
  const ask = asks.sort((a, b) => decisions(b) - decisions(a) || (a < b ? -1 : 1))[0];
  if (!ask) throw new Error("the site has no page with open decisions");
  found.push({ kind: "ask", page: ask });
  found.push({ kind: "straight", page: ask.replace("-ask.html", ".html") });
  found.push({ kind: "source", page: ask.replace("-ask.html", "-source.html") });

  for (const [kind, list] of Object.entries(LISTS)) {
    const page = links(root, list).find((href) => href.startsWith("concepts/"));
    if (!page) throw new Error(`${list} names no concept that occurs`);
    found.push({ kind: `concept: ${kind}`, page });
  }
  const pair = all.find((name) => name.startsWith("compare/"));
  if (!pair) throw new Error("the site sets no two cases against each other");
  found.push({ kind: "pair", page: pair });
  for (const { page } of found) {
    if (!all.includes(page)) throw new Error(`the site has no ${page}`);
  }
  return found;
}

/** The links inside `main` of a page at the top of the site, without their fragments. */
function links(root, page) {
  const main = elements(parse(text(root, page))).find((element) => element.tagName === "main");
  return elements(main)
    .filter((element) => element.tagName === "a")
    .map((element) => (attributes(element).href ?? "").split("#")[0]);
}
