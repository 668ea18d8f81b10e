// Gate: the files of a site as a file share and a plain web server need them. `node links.mjs SITE`
// Every link and fragment resolves, all are relative, no page leans on anything outside, names and sizes are fit.

import path from "node:path";
import vm from "node:vm";
import { Tally } from "./lib/tally.mjs";
import { attributes, elements, parse, textOf } from "./lib/html.mjs";
import { bytes, files, text } from "./lib/site.mjs";

const root = process.argv[2];
if (!root) throw new Error("usage: node links.mjs SITE");

/** The house limit of a page: it must open over a slow share. */
const PAGE_LIMIT = 300 * 1024;
/** Windows allows 260 characters with the share's own name in front; this leaves the share 140. */
const PATH_LIMIT = 120;
/** Source: Microsoft, "Naming Files, Paths, and Namespaces". */
const RESERVED = /^(con|prn|aux|nul|com[1-9]|lpt[1-9])(\.|$)/;
/** Attributes that hold an address. */
const ADDRESSES = ["href", "src", "poster", "data", "action", "formaction", "cite", "background", "manifest", "xlink:href"];
/** The policy every page must carry: nothing is loaded but the site's own scripts, styles, pictures and fonts. */
const POLICY = ["default-src 'none'", "script-src 'self'", "style-src 'self'", "base-uri 'none'", "form-action 'self' file:"];

/** What stands at the root for those who check the folder, and is linked from nowhere. */
const LISTS = ["casewright-manifest.json", "SHA256SUMS"];

const tally = new Tally();
const all = files(root);
const known = new Set(all);
const pages = all.filter((name) => name.endsWith(".html"));
const trees = new Map(pages.map((name) => [name, parse(text(root, name))]));
const anchors = new Map(
  [...trees].map(([name, tree]) => [name, new Set(elements(tree).map((element) => attributes(element).id).filter(Boolean))]),
);

/** Why this address is no good on this page, or nothing. */
function fault(page, element, name, address) {
  const where = `${page}, line ${element.sourceCodeLocation?.startLine}: ${name}="${address}"`;
  if (address.startsWith("data:")) {
    const allowed = name === "src" || (element.tagName === "link" && attributes(element).rel === "icon");
    return allowed ? null : `${where} is a data address where none may stand`;
  }
  if (/^[a-z][a-z0-9+.-]*:/i.test(address)) {
    const followed = ["a", "area"].includes(element.tagName) && /^(https?|mailto):/.test(address);
    return followed ? null : `${where} leaves the site`;
  }
  if (address.startsWith("/") || address.startsWith("\\")) return `${where} is not relative`;
  if (address === "") return `${where} is empty`;
  const [file, fragment] = address.split("#");
  if (file.includes("?")) return `${where} has a query`;
  const target = file === "" ? page : path.posix.normalize(path.posix.join(path.posix.dirname(page), decodeURIComponent(file)));
  if (!known.has(target)) return `${where} leads nowhere`;
  reached.get(page).add(target);
  // A picture can be opened by itself, a film at a second of it, and captions be taken to another player.
  if (target.startsWith("media/")) return fragment === undefined || /^t=\d+(\.\d+)?$/.test(fragment) ? null : `${where} names no second of the film`;
  // The practice page takes a topic from its address.
  if (target === "practice.html" && fragment?.startsWith("topic=")) return known.has(`practice/t-${fragment.slice(6)}.js`) ? null : `${where} names no topic`;
  // A licence is read as it is.
  if (element.tagName === "a" && !target.endsWith(".html") && !target.endsWith("-licence.txt")) return `${where} does not lead to a page`;
  if (fragment !== undefined && !anchors.get(target)?.has(decodeURIComponent(fragment))) return `${where} names a place that is not there`;
  return null;
}

const reached = new Map(pages.map((name) => [name, new Set()]));
const broken = [];
let links = 0;
for (const [page, tree] of trees) {
  for (const element of elements(tree)) {
    const held = attributes(element);
    const addresses = ADDRESSES.filter((name) => name in held).map((name) => [name, held[name]]);
    // Sizes of a picture, for the browser to choose from: an address and a width each.
    for (const choice of (held.srcset ?? "").split(",").filter(Boolean)) addresses.push(["srcset", choice.trim().split(/\s+/)[0]]);
    if (held.srcset) addresses.push(...held.srcset.split(",").map((part) => ["srcset", part.trim().split(/\s+/)[0]]));
    for (const [name, address] of addresses) {
      links += 1;
      const why = fault(page, element, name, address);
      if (why) broken.push(why);
    }
  }
}
console.log(`  ${pages.length} pages of ${all.length} files, ${links} links`);
tally.check(pages.length > 20 && links > pages.length * 8, "there are pages and links to check", `${pages.length} pages, ${links} links`);
tally.none(broken, "every link and fragment resolves and is relative");

// A page that nobody can click to might as well not be there.
const seen = new Set(["index.html"]);
for (const page of seen) for (const target of reached.get(page) ?? []) if (target.endsWith(".html")) seen.add(target);
tally.none(pages.filter((page) => !seen.has(page)), "every page can be reached from index.html by links");
const used = new Set([...reached.values()].flatMap((targets) => [...targets]));
// The parts of the search index: the script with the fixed name tells their folder, and nothing else lies there.
const folder = /^casewright_search\("(find\/[0-9a-f]{10}\/)"\)\n$/.exec(text(root, "search.js"))?.[1];
tally.check(folder !== undefined && known.has(`${folder}about.js`), "the search page's pointer names the folder of the index", text(root, "search.js"));
// The parts of practice: topics name questions, questions stand in their cases with the same hash, and nothing else lies there.
const parts = new Map();
for (const name of all.filter((it) => it.startsWith("practice/"))) {
  vm.runInNewContext(text(root, name), { casewrightPractice: (kind, of, part) => parts.set(`${kind} ${of}`, { name, part }) });
}
const [, topics] = [...parts].find(([key]) => key.startsWith("topics ")) ?? [];
const drawn = new Set(["practice/topics.js"]);
const astray = [];
for (const [topic, , , , count] of topics?.part.topics ?? []) {
  const held = parts.get(`topic ${topic}`);
  drawn.add(held?.name);
  if (held?.part.length !== count) astray.push(`${topic}: ${held?.part.length} questions, not ${count}`);
  for (const [of, id, hash] of held?.part ?? []) {
    const told = parts.get(`case ${of}`);
    drawn.add(told?.name);
    const decision = told?.part.decisions.find((it) => it.id === id);
    if (decision?.hash !== hash) astray.push(`${topic}: ${of}/${id}`);
  }
}
tally.check((topics?.part.topics.length ?? 0) > 3, "there are topics to practise");
tally.none(astray, "every question of a topic stands in its case, with the same hash");
tally.none(all.filter((it) => it.startsWith("practice/") && !drawn.has(it)), "no part of practice is left over");
const loose = (name) => !drawn.has(name) && !name.startsWith(folder) && !name.endsWith(".html") && !name.endsWith(".css") && !used.has(name) && !LISTS.includes(name);
const styles = all.filter((name) => name.endsWith(".css"));
const styled = new Set();
const outward = [];
for (const style of styles) {
  for (const [, address] of text(root, style).matchAll(/(?:url\(\s*|@import\s+)["']?([^"')\s;]+)/g)) {
    if (address.startsWith("data:")) continue;
    const target = path.posix.normalize(path.posix.join(path.posix.dirname(style), address));
    styled.add(target);
    if (/^([a-z]+:|\/)/i.test(address) || !known.has(target)) outward.push(`${style}: ${address}`);
  }
}
tally.none(outward, "every address in a style sheet resolves and is relative");
tally.none(styles.filter((name) => !used.has(name)), "every style sheet is used");
tally.none(all.filter((name) => loose(name) && !styled.has(name)), "every file that is no page is used by one");

tally.none(pages.filter((page) => bytes(root, page).length > PAGE_LIMIT), `no page is over ${PAGE_LIMIT / 1024} KB`);
const largest = pages.map((page) => [bytes(root, page).length, page]).sort((a, b) => b[0] - a[0])[0];
console.log(`  largest page: ${largest[1]}, ${(largest[0] / 1024).toFixed(0)} KB`);

const unfit = (name) => name.length > PATH_LIMIT || name.split("/").some((part) => !/^[a-z0-9][a-z0-9._-]*$/.test(part) || part.endsWith(".") || part.length > 60 || RESERVED.test(part));
tally.none(all.filter((name) => !LISTS.includes(name) && unfit(name)), "every name is short, lower-case, plain and not reserved");
tally.check(new Set(all.map((name) => name.toLowerCase())).size === all.length, "no two names differ only by case");

/** What a strict policy would block, and what fails when the site is opened from a folder. */
function unsafe(page, tree) {
  const faults = [];
  for (const element of elements(tree)) {
    const held = attributes(element);
    const line = `${page}, line ${element.sourceCodeLocation?.startLine}`;
    if ("style" in held) faults.push(`${line}: a style attribute`);
    if (Object.keys(held).some((name) => /^on/i.test(name))) faults.push(`${line}: an event attribute`);
    if ("integrity" in held) faults.push(`${line}: an integrity attribute, which fails on file://`);
    if (element.tagName === "style") faults.push(`${line}: an inline style`);
    if (["iframe", "object", "embed", "base", "track"].includes(element.tagName)) faults.push(`${line}: <${element.tagName}>`);
    if (element.tagName === "script") {
      const island = held.type === "application/json" && !("src" in held);
      if (!("src" in held) && !island) faults.push(`${line}: an inline script`);
      if (held.type === "module") faults.push(`${line}: a module, which fails on file://`);
    }
    if (element.tagName === "meta" && /^refresh$/i.test(held["http-equiv"] ?? "")) faults.push(`${line}: a refresh`);
  }
  return faults;
}
tally.none([...trees].flatMap(([page, tree]) => unsafe(page, tree)), "no page holds what the policy blocks or file:// refuses");

/** What every page must carry. */
function wanting(page, tree) {
  const list = elements(tree);
  const metas = list.filter((element) => element.tagName === "meta").map(attributes);
  const named = (name) => metas.find((meta) => meta.name === name)?.content ?? "";
  const policy = (metas.find((meta) => /^content-security-policy$/i.test(meta["http-equiv"] ?? ""))?.content ?? "").split(";").map((part) => part.trim());
  const main = list.filter((element) => element.tagName === "main");
  const footer = list.filter((element) => element.tagName === "footer").map(textOf).join(" ").replace(/\s+/g, " ");
  const html = list.find((element) => element.tagName === "html");
  return [
    [POLICY.every((part) => policy.includes(part)) && !policy.some((part) => /unsafe|https?:|\*/.test(part)), "a strict policy"],
    [/^[a-z]{2}(-[A-Z]{2})?$/.test(attributes(html).lang ?? ""), "its language"],
    [/width=device-width/.test(named("viewport")) && !/maximum-scale|user-scalable/.test(named("viewport")), "a viewport that can be zoomed"],
    [/noindex/.test(named("robots")), "noindex"],
    [named("referrer") === "no-referrer", "no-referrer"],
    [main.length === 1, "one main part"],
    [list.filter((element) => element.tagName === "h1").length === 1, "one first heading"],
    [/not a clinical decision tool/i.test(footer) && /local protocols/i.test(footer) && /not rates/i.test(footer), "the caution in its footer"],
    [/\bedition\b/i.test(footer), "the edition in its footer"],
    [!page.startsWith("cases/") || /second surgeon/i.test(footer), "whether a second surgeon has read the case"],
  ].filter(([holds]) => !holds).map(([, what]) => `${page} lacks ${what}`);
}
tally.none([...trees].flatMap(([page, tree]) => wanting(page, tree)), "every page carries policy, language, headings, caution and edition");

tally.close();
