// The search in a reader's hands: typing, filters, the address, the keyboard, a part that is missing, lessons that stay
// hidden; and without scripts the terms from A to Z.

import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { open, visit } from "../lib/browsers.mjs";
import { folderOf } from "../lib/runtime.mjs";
import { PLANTED } from "../planted.mjs";
import { AXE, VIEWS, axe } from "./access.mjs";
import { focused, tabTo } from "./keyboard.mjs";
import { way } from "./pages.mjs";

const wait = (time) => new Promise((resolve) => setTimeout(resolve, time));

/** What the search page shows; null while the browser is between two pages. */
const state = (page) =>
  page
    .evaluate(() => ({
      busy: document.getElementById("_results").dataset.state ?? "",
      said: document.getElementById("_said").textContent,
      notes: document.getElementById("_notes").innerText,
      titles: [...document.querySelectorAll("#_found h3")].map((title) => title.innerText),
      found: document.getElementById("_found").innerText,
      marks: document.querySelectorAll("#_found mark").length,
      terms: !document.getElementById("_terms").hidden,
      query: location.search,
      typed: document.getElementById("_words").value,
    }))
    .catch(() => null);

/** Waits until the page shows what is wanted; gives what it shows in the end. */
async function until(page, wanted) {
  let seen = await state(page);
  for (let tries = 0; tries < 200 && !(seen && wanted(seen)); tries += 1) {
    await wait(50);
    seen = await state(page);
  }
  return seen ?? { said: "", notes: "", titles: [], found: "", query: "", typed: "", marks: 0, busy: "", terms: false };
}

async function type(page, words) {
  await page.evaluate(() => {
    const field = document.getElementById("_words");
    field.focus();
    field.select();
  });
  await page.keyboard.type(words);
}

/** From the box on a page to the results, and all that can be done there. */
export async function checkSearch(session, way, root, tally, label) {
  const { page, faults, requests } = await open(session);
  await page.setViewport({ width: 1280, height: 900 });
  await visit(page, `${way.base}concepts/posterior-capsule-rupture.html`);
  await page.evaluate(() => document.getElementById("_find").focus());
  await page.keyboard.type("posterior polar vitrectmy");
  await page.keyboard.press("Enter");
  let seen = await until(page, (it) => it.busy === "done");
  tally.check(seen.typed === "posterior polar vitrectmy" && seen.titles.length > 0, `${label}: the box on a page leads to results`, seen);
  tally.check(seen.titles[0] === "The disc that took the capsule with it", `${label}: the right case comes first in spite of a slip`, seen.titles);
  tally.check(/vitrectmy.*vitrectomy/s.test(seen.notes), `${label}: the slip is told`, seen.notes);
  tally.check(/\d+ cases?/.test(seen.said) && seen.marks > 0, `${label}: the number of cases is announced, and what matched is marked`, seen);

  await type(page, "PCR");
  seen = await until(page, (it) => it.busy === "done" && it.query.includes("q=PCR"));
  const withNames = seen.titles.length;
  tally.check(withNames > 0 && /posterior capsule rupture/.test(seen.notes), `${label}: an abbreviation finds its concept and says so`, seen);
  await page.evaluate(() => document.querySelector("#_notes button").click());
  seen = await until(page, (it) => it.query.includes("words=only") && it.titles.length < withNames);
  tally.check(seen.titles.length < withNames, `${label}: other names can be switched off`, seen);
  await page.goBack();
  seen = await until(page, (it) => !it.query.includes("words=only") && it.titles.length === withNames);
  tally.check(seen.titles.length === withNames, `${label}: Back switches them on again`, seen);

  // Filters by keyboard alone: open a group, choose its first value.
  await page.evaluate(() => document.querySelector("#_filter_complication summary").focus());
  await page.keyboard.press("Enter");
  for (let tries = 0; tries < 100 && !(await page.evaluate(() => document.querySelector("#_filter_complication input"))); tries += 1) await wait(50);
  const last = await page.evaluate(() => {
    const rows = [...document.querySelectorAll("#_filter_complication li")];
    const row = rows[rows.length - 1].querySelector("label") ? rows[rows.length - 1] : rows[rows.length - 2];
    row.querySelector("input").focus();
    return { value: row.querySelector("input").value, count: parseInt(row.querySelector(".count").textContent.replace(/\D/g, ""), 10) };
  });
  await page.keyboard.press(" ");
  seen = await until(page, (it) => it.query.includes("complication=") && it.busy === "done");
  tally.check(seen.query.includes(last.value) && seen.said.startsWith(`${last.count} case`), `${label}: a filter leaves as many cases as it says`, { seen, last });
  const focus = await focused(page);
  tally.check(focus?.type === "checkbox", `${label}: the focus stays on the filter`, focus);
  const filtered = seen.titles;
  await page.goBack();
  seen = await until(page, (it) => !it.query.includes("complication=") && it.titles.length === withNames);
  tally.check(seen.titles.length === withNames, `${label}: Back takes the filter away`, seen);
  await page.goForward();
  seen = await until(page, (it) => it.query.includes("complication=") && it.titles.length === filtered.length);
  tally.check(JSON.stringify(seen.titles) === JSON.stringify(filtered), `${label}: Forward brings it back`, seen);
  // The address alone brings all of it back.
  await visit(page, `${way.base}search.html${seen.query}`);
  seen = await until(page, (it) => it.busy === "done");
  tally.check(JSON.stringify(seen.titles) === JSON.stringify(filtered), `${label}: the address holds the whole state`, seen);

  // Down into the results and up again.
  await visit(page, `${way.base}search.html?q=vitrectomy`);
  await until(page, (it) => it.busy === "done");
  await page.evaluate(() => document.getElementById("_words").focus());
  await page.keyboard.press("ArrowDown");
  const result = await focused(page);
  tally.check(/^cases\/.*\.html$/.test(result?.href ?? "") && result.ring && result.inView, `${label}: the arrow key leads into the results`, result);
  await page.keyboard.press("ArrowUp");
  tally.check((await focused(page))?.type === "search", `${label}: and back to the field`);
  const { stops, stop } = await tabTo(page, (it) => it.href.startsWith("cases/"), 60);
  tally.check(stop !== null, `${label}: Tab reaches the results`, stops.map(({ words }) => words));
  tally.none(stops.filter(({ ring, inView }) => !ring || !inView).map((it) => `${it.tag} ${it.words}`), `${label}: every stop on the way shows its focus`);

  // A phrase, and a word that nobody wrote.
  await type(page, '"rupture posterior"');
  seen = await until(page, (it) => it.query.includes("rupture+posterior") && it.busy === "done");
  tally.check(seen.titles.length === 0 && /No case/.test(seen.said), `${label}: a phrase is looked for in its order`, seen);
  await type(page, "xqzvvjkw");
  seen = await until(page, (it) => it.query.includes("xqzvvjkw") && it.busy === "done");
  tally.check(/No case/.test(seen.said) && /xqzvvjkw/.test(seen.notes), `${label}: that nothing is found is announced`, seen);
  await type(page, " ");
  seen = await until(page, (it) => it.terms);
  tally.check(seen.terms, `${label}: an empty field shows the terms again`, seen);

  tally.none(faults, `${label}: the browser complains of nothing while searching`);
  tally.none(requests.filter((url) => !way.inside(url) && !/^(data|about|blob):/.test(url)), `${label}: nothing outside the site is asked for while searching`);
  await page.close();
}

/** A part that is missing is told, and the page does not wait for it for ever. */
export async function checkMissing(session, wayName, root, tally, label) {
  const copy = fs.mkdtempSync(path.join(os.tmpdir(), "casewright-missing-"));
  fs.cpSync(root, copy, { recursive: true });
  const folder = path.join(copy, folderOf(root));
  const place = await way(wayName, copy);
  const { page } = await open(session);
  for (const part of ["m", "d", "about.js"]) {
    fs.rmSync(path.join(folder, part), { recursive: true });
    await visit(page, `${place.base}search.html?q=vitrectomy`);
    const seen = await until(page, (it) => it.busy === "broken");
    tally.check(seen.busy === "broken" && /missing/.test(seen.said), `${label}: that \`${part}\` is missing is told`, seen);
  }
  await page.close();
  await place.close();
  fs.rmSync(copy, { recursive: true, force: true });
}

/** With lessons hidden a result shows nothing that its open reading hides. */
export async function checkHidden(session, way, tally, label) {
  const { page } = await open(session);
  const later = PLANTED.filter((it) => it.stage > 0);
  const within = (text) => later.filter(({ word }) => text.toLowerCase().includes(word)).map(({ word, part }) => `${part} (${word})`);
  const asked = ["a finding", "ask title", "summary", "a lesson", "a complication noticed later", "narrative, passage 3"];
  for (const part of asked) {
    const { word } = PLANTED.find((it) => it.part === part || it.part.startsWith(part));
    await visit(page, `${way.base}search.html?q=${word}&hide=lessons`);
    const seen = await until(page, (it) => it.busy === "done");
    tally.check(seen.titles.length === 1, `${label}: the planted word of ${part} finds its case`, seen);
    tally.none(within(seen.found), `${label}: with lessons hidden, a search for ${part} gives nothing away`);
  }
  // Groups that tell what happened show every value there is, without counts.
  await page.evaluate(() => { document.querySelector("#_filter_complication").open = true; });
  for (let tries = 0; tries < 100 && !(await page.evaluate(() => document.querySelector("#_filter_complication input"))); tries += 1) await wait(50);
  const rows = await page.evaluate(() => ({
    rows: document.querySelectorAll("#_filter_complication input").length,
    counts: document.querySelectorAll("#_filter_complication .count").length,
  }));
  tally.check(rows.rows > 0 && rows.counts === 0, `${label}: with lessons hidden no count tells what happened`, rows);
  const { word } = PLANTED.find((it) => it.part === "ask title");
  await visit(page, `${way.base}search.html?q=${word}`);
  const shown = await until(page, (it) => it.busy === "done");
  tally.check(within(shown.found).length > 0, `${label}: with lessons shown the words would be seen`, shown);
  await page.close();
}

/** axe on results with filters open. */
export async function checkSearchAccess(session, way, tally) {
  const { page } = await open(session);
  await visit(page, `${way.base}search.html?q=vitrectomy+capsle&finding=cataract`);
  await until(page, (it) => it.busy === "done");
  await page.evaluate(() => document.querySelectorAll("details").forEach((it) => { it.open = true; }));
  await wait(500);
  await page.evaluate(AXE);
  for (const { width, scheme } of VIEWS) {
    const { rules, violations } = await axe(page, width, scheme);
    tally.none(violations, `axe, search results, ${width} px, ${scheme}`);
    tally.check(rules > 10, `axe, search results, ${width} px, ${scheme}: its rules were applied`, `${rules}`);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    tally.check(wide <= 0, `search results do not run off sideways at ${width} px`, `${wide}`);
  }
  await page.close();
}

/** Without scripts the page says so and leads to the terms. */
export async function checkTerms(session, way, tally, label) {
  const { page } = await open(session);
  await visit(page, `${way.base}search.html?q=vitrectomy`);
  const seen = await page.evaluate(() => ({ text: document.body.innerText, letter: document.querySelector("#_terms .letters a")?.getAttribute("href") ?? "" }));
  tally.check(/needs scripts/.test(seen.text) && seen.letter.startsWith("terms"), `${label}: without scripts the page says so and leads to the terms`, seen);
  await visit(page, way.base + seen.letter);
  const terms = await page.evaluate(() => [...document.querySelectorAll("main li a[href^='concepts/']")].length);
  tally.check(terms > 50, `${label}: the terms lead to what the cases have`, `${terms}`);
  await page.close();
}
