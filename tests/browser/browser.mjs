// Gate: the site in real browsers. `node browser.mjs SITE PLANTED_SITE`
// Opened from a folder and under a server's sub-path, in Chromium and Firefox, with scripts and without.

import { Tally, timed } from "./lib/tally.mjs";
import { launch } from "./lib/browsers.mjs";
import { kinds } from "./lib/site.mjs";
import { checkInstruments, checkPages, way } from "./checks/pages.mjs";
import { checkKeyboard, checkSteps } from "./checks/keyboard.mjs";
import { checkNarrow } from "./checks/narrow.mjs";
import { checkAccess, checkReflow } from "./checks/access.mjs";
import { checkCode, checkLeaks } from "./checks/leaks.mjs";
import { checkFilm } from "./checks/film.mjs";
import { checkCards, checkEvening, checkSchedule } from "./checks/practice.mjs";
import { checkHidden, checkMissing, checkSearch, checkSearchAccess, checkTerms } from "./checks/search.mjs";

const [site, planted] = process.argv.slice(2);
if (!planted) throw new Error("usage: node browser.mjs SITE PLANTED_SITE");

const tally = new Tally();
const ask = kinds(site).find(({ kind }) => kind === "ask").page;
checkCode(planted, tally);
checkSchedule(tally);

/** All that is checked in one browser, with scripts or without. */
async function run(name, scripts) {
  const session = await launch(name, { scripts });
  try {
    for (const wayName of ["file", "http"]) {
      const label = `${name}, ${wayName}, scripts ${scripts ? "on" : "off"}`;
      await timed(label, async () => {
        const [place, plantedPlace] = [await way(wayName, site), await way(wayName, planted)];
        await checkInstruments(session, wayName, tally, label);
        await checkPages(session, place, site, tally, label);
        await checkKeyboard(session, place, ask, tally, label);
        // With scripts off this browser alone still answers questions about a page.
        if (scripts || name === "chromium") await checkNarrow(session, place, tally, label);
        await checkFilm(session, place, site, tally, label);
        await checkLeaks(session, plantedPlace, tally, label);
        if (scripts) {
          await checkSearch(session, place, site, tally, label);
          await checkMissing(session, wayName, site, tally, label);
          await checkHidden(session, plantedPlace, tally, label);
          await checkSteps(session, place, ask, tally, label);
          await checkEvening(session, place, tally, label);
          await checkCards(session, plantedPlace, tally, label);
        } else {
          await checkTerms(session, place, tally, label);
        }
        await Promise.all([place.close(), plantedPlace.close()]);
      });
    }
    if (name === "chromium" && scripts) {
      const place = await way("http", site);
      await timed("axe, light and dark, narrow and wide", () => checkAccess(session, place, site, tally));
      await timed("reflow at 320 px", () => checkReflow(session, place, site, tally));
      await timed("axe on results", () => checkSearchAccess(session, place, tally));
      await place.close();
    }
  } finally {
    await session.close();
  }
}

// The two browsers run side by side: a machine has two cores.
const both = async (name) => {
  for (const scripts of [true, false]) await run(name, scripts);
};
await Promise.all(["chromium", "firefox"].map(both));
tally.close();
