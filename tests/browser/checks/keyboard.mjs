// The page in the hands of somebody without a mouse.

import { open, visit } from "../lib/browsers.mjs";

/** What has the focus, and whether one can see that it has. */
export async function focused(page) {
  let seen = await look(page);
  // The page scrolls to what has the focus a frame or two later, or smoothly; a reader waits for that too.
  for (let tries = 0; seen && !seen.inView && tries < 20; tries += 1) {
    await new Promise((resolve) => setTimeout(resolve, 50));
    seen = await look(page);
  }
  return seen;
}

const look = (page) =>
  page.evaluate(() => {
    const element = document.activeElement;
    if (!element || element === document.body) return null;
    const box = element.getBoundingClientRect();
    const style = getComputedStyle(element);
    const ring = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0;
    return {
      tag: element.tagName.toLowerCase(),
      type: element.getAttribute("type") ?? "",
      href: element.getAttribute("href") ?? "",
      words: (element.innerText || element.getAttribute("aria-label") || element.value || "").trim().slice(0, 60),
      ring: ring || style.boxShadow !== "none",
      inView: box.width > 1 && box.height > 1 && box.bottom > 0 && box.right > 0 && box.top < innerHeight && box.left < innerWidth,
      inMain: element.closest("main") !== null,
      inAnswer: element.closest("details")?.id ?? "",
    };
  });

/** Presses Tab until `found` holds for what has the focus; tells every stop on the way. */
export async function tabTo(page, found, limit = 200) {
  const stops = [];
  for (let press = 0; press < limit; press += 1) {
    await page.keyboard.press("Tab");
    const stop = await focused(page);
    if (!stop) return { stops, stop: null };
    stops.push(stop);
    if (found(stop)) return { stops, stop };
  }
  return { stops, stop: null };
}

/** The skip link comes first and works, every stop shows its focus, and a decision can be made. */
export async function checkKeyboard(session, way, ask, tally, label) {
  const { page } = await open(session);
  await page.setViewport({ width: 1280, height: 900 });
  await visit(page, way.base + ask);
  await page.keyboard.press("Tab");
  const first = await focused(page);
  tally.check(first?.href === "#_main" && first.inView && first.ring, `${label}: the first Tab shows the skip link`, first);
  await page.keyboard.press("Enter");
  await page.keyboard.press("Tab");
  const next = await focused(page);
  tally.check(next?.inMain === true, `${label}: the skip link leads past the navigation`, next);

  await visit(page, way.base + ask);
  const wanted = session.scripts ? (stop) => stop.tag === "input" && stop.type === "radio" : (stop) => stop.tag === "summary";
  const { stops, stop } = await tabTo(page, wanted);
  tally.check(stop !== null, `${label}: Tab reaches the ${session.scripts ? "choices" : "answer"}`, stops.map(({ words }) => words));
  tally.none(stops.filter(({ ring, inView }) => !ring || !inView).map((it) => `${it.tag} ${it.words} ring: ${it.ring}, in view: ${it.inView}`), `${label}: every stop is in view and shows its focus`);
  if (stop && session.scripts) await commit(page, tally, label);
  if (stop && !session.scripts) await disclose(page, tally, label);
  await page.close();
}

/** With the script: choose, commit, and find oneself at the verdict. */
async function commit(page, tally, label) {
  const state = () =>
    page.evaluate(() => ({
      open: document.querySelector("details").open,
      said: document.querySelector("form[data-answer] [role=status]").textContent.trim(),
      chosen: document.querySelector("form[data-answer] input:checked")?.value ?? "",
    }));
  // Committing to nothing must say so and open nothing.
  await page.evaluate(() => document.querySelector("form[data-answer] button").focus());
  await page.keyboard.press("Enter");
  const empty = await state();
  tally.check(!empty.open && empty.said !== "", `${label}: to commit to nothing opens nothing and says so`, empty);

  await page.evaluate(() => document.querySelector("form[data-answer] input").focus());
  await page.keyboard.press(" ");
  await page.keyboard.press("ArrowDown");
  const { stop } = await tabTo(page, (it) => it.tag === "button", 3);
  tally.check(stop !== null && stop.ring && stop.inView, `${label}: Tab goes from the choices to the button`, stop);
  await page.keyboard.press("Enter");
  const after = await state();
  const focus = await focused(page);
  tally.check(after.open, `${label}: committing opens the answer`, after);
  tally.check(after.chosen === "B" || after.chosen === "b", `${label}: the arrow keys move between the choices`, after);
  tally.check(after.said.length > empty.said.length || after.said !== empty.said, `${label}: the verdict is announced`, after);
  tally.check(Boolean(focus?.inAnswer) && focus.inView && focus.ring, `${label}: the focus moves to the verdict and is seen there`, focus);
}

/** Steps one by one: what follows a step waits, and comes back when the reader no longer wants to stop. */
export async function checkSteps(session, way, ask, tally, label) {
  const { page } = await open(session);
  await page.setViewport({ width: 1280, height: 900 });
  await visit(page, way.base + ask);
  // Before the first answer is open, only its own stage is in reach; all are opened so that every step counts.
  await page.evaluate(() => document.querySelectorAll("details").forEach((it) => (it.open = true)));
  const state = () =>
    page.evaluate(() => ({
      steps: [...document.querySelectorAll("ol.steps > li")].filter((it) => it.getClientRects().length).length,
      pictures: [...document.querySelectorAll(".record figure")].filter((it) => it.getClientRects().length).length,
      forms: [...document.querySelectorAll("form[data-answer]")].filter((it) => it.getClientRects().length).length,
      focus: document.activeElement?.tagName ?? "",
    }));
  const whole = await state();
  await page.evaluate(() => document.getElementById("_stepwise").focus());
  await page.keyboard.press(" ");
  let seen = await state();
  tally.check(seen.steps < whole.steps && seen.pictures < whole.pictures, `${label}: with stops, later steps and their pictures wait`, [whole, seen]);
  let presses = 0;
  for (; presses < 200; presses += 1) {
    const button = await page.$(".record ol.steps + button");
    if (!button) break;
    const before = seen.steps;
    await page.evaluate((it) => it.focus(), button);
    await page.keyboard.press("Enter");
    seen = await state();
    if (seen.focus !== "LI" || seen.steps <= before) break;
  }
  tally.check(presses > 3 && JSON.stringify({ ...seen, focus: "" }) === JSON.stringify({ ...whole, focus: "" }), `${label}: step by step the whole page comes back`, [whole, seen, presses]);
  await visit(page, way.base + ask);
  const fresh = await state();
  await page.evaluate(() => document.getElementById("_stepwise").click());
  await page.evaluate(() => document.getElementById("_stepwise").click());
  seen = await state();
  tally.check(seen.steps === fresh.steps && seen.forms === fresh.forms, `${label}: without stops all is there again`, [fresh, seen]);
  await page.close();
}

/** Without the script: the disclosure opens and closes by itself. */
async function disclose(page, tally, label) {
  const isOpen = () => page.evaluate(() => document.querySelector("details").open);
  tally.check(!(await isOpen()), `${label}: the answer is closed at first`);
  await page.keyboard.press("Enter");
  tally.check(await isOpen(), `${label}: Enter opens the answer`);
  await page.keyboard.press(" ");
  tally.check(!(await isOpen()), `${label}: Space closes it again`);
}
