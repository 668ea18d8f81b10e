// A list narrows by a link, with scripts and without, and by words where scripts run; it keeps its place and its address.

import { open, visit } from "../lib/browsers.mjs";

/** How many items of the list are seen. */
const seen = (page) => page.evaluate(() => [...document.querySelectorAll("main [data-marks]")].filter((it) => it.getClientRects().length > 0).length);

export async function checkNarrow(session, way, tally, label) {
  const { page } = await open(session);
  await page.setViewport({ width: 1000, height: 800 });
  for (const list of ["cases.html", "complications.html", "glossary.html"]) {
    await visit(page, way.base + list);
    const offered = await page.$$eval(".only a:not(#only-all)", (links) => links.map((link) => [link.id, Number(link.querySelector(".count").textContent)]));
    tally.check(offered.length > 1, `${label}: ${list} offers ways to narrow it`, `${offered.length}`);
    const all = await seen(page);
    const [id, count] = offered[offered.length - 1];
    await visit(page, `${way.base}${list}#${id}`);
    tally.check(count < all && (await seen(page)) === count, `${label}: ${list}#${id} shows what it says`, `${await seen(page)} of ${all}, said ${count}`);
    const empty = await page.$$eval(".group", (groups) => groups.filter((group) => group.getClientRects().length > 0 && ![...group.querySelectorAll("[data-marks]")].some((it) => it.getClientRects().length > 0)).length);
    tally.check(empty === 0, `${label}: ${list}#${id} shows no heading without anything under it`, `${empty}`);
    tally.check((await page.evaluate(() => scrollY)) === 0, `${label}: ${list}#${id} does not lose its place`);
  }
  if (session.scripts) {
    await visit(page, `${way.base}complications.html`);
    const all = await seen(page);
    await page.focus(".narrow input");
    await page.keyboard.type("CÁPSULE rupture");
    const left = await seen(page);
    const said = await page.$eval(".narrow [role=status]", (it) => it.textContent);
    tally.check(left > 0 && left < all && said === `${left} of ${all} terms shown`, `${label}: typing narrows and says so`, `${left} of ${all}: ${said}`);
    tally.check(await page.evaluate(() => document.activeElement.matches(".narrow input")), `${label}: typing keeps the focus`);
    const address = await page.evaluate(() => location.href);
    await visit(page, address);
    tally.check(!address.includes("words=") || (await seen(page)) === left, `${label}: the address brings the narrowed list back`, address);
    tally.check(address.includes("words="), `${label}: the address keeps the words`, address);
    await page.$eval(".narrow input", (field) => {
      field.value = "zzzz";
      field.dispatchEvent(new Event("input"));
    });
    tally.check((await seen(page)) === 0, `${label}: words that nothing holds leave nothing`);
  } else {
    await visit(page, `${way.base}cases.html`);
    tally.check(await page.$eval(".narrow .words", (it) => getComputedStyle(it).visibility === "hidden"), `${label}: no field where no script serves it`);
  }
  await page.close();
}
