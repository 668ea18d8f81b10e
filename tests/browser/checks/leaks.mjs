// The page with open decisions gives nothing away. A library with a made-up word in every part of a case is compiled, and
// the words are looked for before their time: in what is shown, in the title, in the accessibility tree, in the code.

import { open, visit } from "../lib/browsers.mjs";
import { text } from "../lib/site.mjs";
import { CASE, DECISIONS, PLANTED } from "../planted.mjs";

const ASK = `cases/${CASE}-ask.html`;
/** Words in a text; a page may set a number and its unit apart by any kind of space, and may curl an apostrophe. */
export const within = (haystack, words) => {
  const folded = haystack.replace(/&nbsp;|&#160;|\s+/g, " ").replace(/&#39;|’/g, "'").toLowerCase();
  return words.filter(({ word }) => folded.includes(word.toLowerCase()));
};
export const named = (words) => words.map(({ word, part, stage }) => `${part} (${word}, stage ${stage})`);
export const later = (stage) => PLANTED.filter((it) => it.stage > stage);
export const due = (stage) => PLANTED.filter((it) => it.stage <= stage && it.shown);

/** The code of the page: what stands before each answer. It needs no browser. */
export function checkCode(root, tally) {
  // A word that the site does not know at all was never planted, and looking for it would prove nothing.
  const whole = text(root, ASK) + text(root, `cases/${CASE}.html`) + text(root, `cases/${CASE}-source.html`);
  tally.none(named(PLANTED.filter((it) => within(whole, [it]).length === 0)), "every planted word is in the case's pages");
  tally.check(PLANTED.length > 150, "words are planted in every part of a case", `${PLANTED.length}`);

  const html = text(root, ASK);
  const parts = html.split("<details");
  tally.check(parts.length === DECISIONS + 1, "the page holds an answer for each decision", `${parts.length - 1}`);
  for (let stage = 0; stage < DECISIONS; stage += 1) {
    const before = parts.slice(0, stage + 1).join("<details");
    tally.none(named(within(before, later(stage))), `the code before answer ${stage + 1} holds nothing that comes later`);
  }
  // What follows the answers is seen by all from the start.
  const after = html.slice(html.lastIndexOf("</details>"));
  tally.none(named(within(after, later(0))), "the code after the answers holds nothing that comes later");
  // Each answer lies inside the one before, so that what follows an open decision is closed with it.
  const nested = html.slice(html.indexOf("<details"), html.lastIndexOf("</details>")).match(/<details|<\/details>/g) ?? [];
  const openFirst = nested.slice(0, DECISIONS).every((tag) => tag === "<details");
  tally.check(openFirst, "each answer lies inside the one before", nested.join(" "));
}

/** All that a reader can find out with a browser at this moment. */
export async function shown(page, session) {
  const seen = await page.evaluate(() => ({
    text: document.body.innerText,
    title: document.title,
    open: document.querySelectorAll("details[open]").length,
  }));
  let tree = "";
  if (session.name === "chromium") {
    const inspector = await page.createCDPSession();
    const { nodes } = await inspector.send("Accessibility.getFullAXTree");
    await inspector.detach();
    tree = nodes
      .filter((node) => !node.ignored)
      .map((node) => JSON.stringify([node.name?.value, node.description?.value, node.value?.value, node.properties?.map(({ value }) => value?.value)]))
      .join("\n");
  }
  return { ...seen, tree };
}

/** Opens one decision after the other and looks, each time, for what is too early and what is missing. */
export async function checkLeaks(session, way, tally, label) {
  const { page } = await open(session);
  await page.setViewport({ width: 1280, height: 900 });
  await visit(page, way.base + ASK);
  for (let stage = 0; stage <= DECISIONS; stage += 1) {
    const here = `${label}, ${stage} of ${DECISIONS} answered`;
    const { text: words, title, tree, open: opened } = await shown(page, session);
    tally.check(opened === stage, `${here}: so many answers are open`, `${opened}`);
    tally.none(named(within(words, later(stage))), `${here}: nothing from later is shown`);
    tally.none(named(within(title, later(0))), `${here}: the title gives nothing away`);
    tally.none(named(due(stage).filter((it) => within(words, [it]).length === 0)), `${here}: what is known by now is shown`);
    if (session.name === "chromium") {
      tally.none(named(within(tree, later(stage))), `${here}: nothing from later is in the accessibility tree`);
      const missing = due(stage).filter((it) => within(tree, [it]).length === 0);
      tally.none(named(missing), `${here}: what is known by now is in the accessibility tree`);
    }
    if (stage < DECISIONS) await answer(page, session, stage);
  }
  await page.close();
}

/** Answers a decision as a reader would: with the script by committing, without it by opening the disclosure. */
async function answer(page, session, at) {
  const inForm = (what) => `document.querySelectorAll("form[data-answer]")[${at}].querySelector("${what}")`;
  const controls = session.scripts ? [inForm("input"), inForm("button")] : [`document.querySelectorAll("details > summary")[${at}]`];
  for (const control of controls) {
    // Found in one go in the page: with scripts off, Firefox never settles what waits for a promise, as element handles do.
    await page.evaluate(`${control}.focus()`);
    await page.keyboard.press(" ");
  }
}
