// Practice in a reader's hands: a whole evening, a week later, progress taken elsewhere; cards that tell nothing of what
// follows; and what comes when, tested without a browser over seeded histories.

import fs from "node:fs";
import vm from "node:vm";
import { open, visit } from "../lib/browsers.mjs";
import { CASE, DECISIONS, PLANTED } from "../planted.mjs";
import { AXE, VIEWS, axe } from "./access.mjs";
import { tabTo } from "./keyboard.mjs";
import { due, later, named, shown, within } from "./leaks.mjs";

const DAY = 86_400_000;
const PAGE = "practice.html";

/** The scheduler alone: the script leaves it to whoever has no page. */
function scheduler() {
  const context = vm.createContext({});
  vm.runInContext(fs.readFileSync(new URL("../../../themes/default/assets/practice.js", import.meta.url), "utf8"), context);
  return context.casewrightSchedule;
}

/** Numbers from 0 to 1, the same each run (Mulberry32, public domain). */
function random(seed) {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** What holds of every history of answers. */
export function checkSchedule(tally) {
  const schedule = scheduler();
  const verdicts = ["best", "acceptable", "risky", "harmful"];
  const faults = { past: [], sooner: [], clock: [], lost: [] };
  for (let seed = 1; seed <= 2000; seed += 1) {
    const draw = random(seed);
    const days = [1 + draw() * 2];
    while (days.length < 2 + Math.floor(draw() * 6)) days.push(days.at(-1) * (1.1 + draw() * 3));
    let item, now = 1_800_000_000_000;
    for (let answer = 0; answer < 12; answer += 1) {
      // A clock that is put back by up to a year, or forward by up to ten.
      now = draw() < 0.15 ? now - draw() * 365 * DAY : draw() < 0.1 ? now + draw() * 3650 * DAY : now + draw() * 30 * DAY;
      if (item) {
        const topics = { it: item };
        const ahead = item.at > now;
        if (schedule.anchor(topics, now, days) !== ahead) faults.clock.push(`${seed}: a clock that was ahead goes unnoticed`);
        item = topics.it;
        // However wrong the clock was, once it is right the topic comes when its box says, and not later.
        const wait = days[Math.min(item.box, days.length - 1)] * DAY;
        if (ahead && !schedule.isDue(item, now + wait)) faults.clock.push(`${seed}: put off by ${(item.due - now) / DAY} days`);
        if (ahead && item.due > now + wait) faults.clock.push(`${seed}: anchored too late`);
      }
      const after = Object.fromEntries(verdicts.map((verdict) => [verdict, schedule.answered(item, verdict, now, days)]));
      for (const verdict of verdicts) {
        if (!(after[verdict].due > now)) faults.past.push(`${seed}: ${verdict}`);
        if (after[verdict].box < 0 || after[verdict].box >= days.length) faults.lost.push(`${seed}: box ${after[verdict].box}`);
      }
      for (const wrong of ["risky", "harmful"]) {
        for (const right of ["best", "acceptable"]) {
          if (!(after[wrong].due < after[right].due)) faults.sooner.push(`${seed}: ${wrong} ${right} box ${item?.box}`);
        }
      }
      item = after[verdicts[Math.floor(draw() * 4)]];
      if (schedule.dueTopics({ it: item }, item.due, () => true).length !== 1) faults.lost.push(`${seed}: not due when it is due`);
    }
  }
  tally.none(faults.past, "schedule: nothing is ever scheduled into the past");
  tally.none(faults.sooner, "schedule: a wrong answer always returns sooner than a right one");
  tally.none(faults.clock, "schedule: a clock that was wrong puts nothing off for longer than its box does");
  const box = (item, verdict, day) => schedule.answered(item, verdict, 1_800_000_000_000 + day * DAY, [1, 3, 8, 21]);
  let early = box(undefined, "best", 0);
  for (let times = 0; times < 5; times += 1) early = box(early, "best", 0.001 * times);
  tally.check(early.box === 1, "schedule: good answers in one evening are one step", early);
  tally.check(box(early, "best", 4).box === 2, "schedule: and when it is due the next is another");
  const late = schedule.answered(undefined, "risky", new Date(2026, 10, 3, 23, 0).getTime(), [1, 3]);
  tally.check(schedule.isDue(late, new Date(2026, 10, 4, 7, 0).getTime()) && !schedule.isDue(late, new Date(2026, 10, 3, 23, 30).getTime()), "schedule: what comes tomorrow comes from its morning on");
  tally.check(schedule.dueTopics({ gone: late, here: late }, late.due, (name) => name === "here").join() === "here", "schedule: what the library no longer has is not asked for");
  tally.none(faults.lost, "schedule: whatever was answered comes again");

  const questions = [["a", "one", "h"], ["a", "two", "h"], ["b", "one", "h"], ["c", "one", "h"]];
  const answer = (verdict, at, hash = "h") => ({ verdict, at, hash });
  const all = { "a/one": answer("best", 1), "a/two": answer("risky", 2), "b/one": answer("best", 3), "c/one": answer("best", 4) };
  const key = (at) => questions[at]?.slice(0, 2).join("/");
  const pick = (answers, last, not) => key(schedule.pick(questions, answers, last, not));
  tally.check(pick({}, "", null) === "a/one", "schedule: the first question comes first");
  tally.check(pick({ "a/one": answer("best", 1) }, "a", null) === "b/one", "schedule: another case comes before the same one again");
  tally.check(pick(all, "b", null) === "a/two", "schedule: of what was answered, a mistake comes first");
  tally.check(pick(all, "a", null) === "b/one", "schedule: but not from the case that was just seen");
  tally.check(pick({ ...all, "c/one": answer("best", 4, "old") }, "b", null) === "c/one", "schedule: a changed question is asked anew");
  tally.check(schedule.pick(questions, all, "", Object.fromEntries(Object.keys(all).map((it) => [it, true]))) === -1, "schedule: a topic can be finished");

  const state = schedule.empty("here");
  state.answers["a/one"] = answer("best", 1);
  const beside = schedule.empty("here");
  beside.answers["b/one"] = answer("risky", 2);
  beside.topics.it = { box: 0, due: 5, at: 2 };
  beside.log.push({ about: "it", verdict: "risky", sure: "certain", at: 2 });
  const both = schedule.merged(state, beside);
  tally.check(Object.keys(both.answers).sort().join() === "a/one,b/one" && both.topics.it.at === 2 && both.log.length === 1, "progress: two pages of one reader lose nothing", both);
  tally.check(JSON.stringify(schedule.merged(both, both)) === JSON.stringify(both), "progress: and count nothing twice");
  tally.check(JSON.stringify(schedule.read(JSON.stringify(state), "here").state) === JSON.stringify(state), "progress: what was exported is imported");
  for (const [what, text] of Object.entries({
    "another library's": JSON.stringify({ ...state, site: "there" }),
    "another edition's": JSON.stringify({ ...state, version: 99 }),
    "cut off": JSON.stringify(state).slice(0, -3),
    "something else": "[1, 2]",
    "damaged boxes": JSON.stringify({ ...state, topics: { it: { box: -1, due: 1, at: 1 } } }),
    "damaged answers": JSON.stringify({ ...state, answers: { "a/one": { hash: 3 } } }),
    "damaged log": JSON.stringify({ ...state, log: [{ about: "it", verdict: "best", sure: "very", at: 1 }] }),
  })) {
    tally.check(Boolean(schedule.read(text, "here").fault), `progress: ${what} is refused with a reason`);
  }
}

const words = (page, id) => page.$eval(`#${id}`, (element) => element.textContent);
const seen = (page, id) => page.$eval(`#${id}`, (element) => !element.hidden);

/** Waits until something holds in the page. */
async function until(page, holds, what) {
  for (let tries = 0; tries < 200; tries += 1) {
    if (await page.evaluate(holds)) return true;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  console.log(`  waited in vain: ${what}`);
  return false;
}

/** Presses a control by the keyboard. */
async function press(page, selector, key = "Enter") {
  await page.evaluate((it) => document.querySelector(it).focus(), selector);
  await page.keyboard.press(key);
}

/** Answers the open card: the choice with this verdict, so sure. */
async function answer(page, good, sure) {
  // The reader of the test knows the answers: they stand in the script of the case.
  const letter = await page.evaluate(
    (good) => {
      const verdicts = window.told.decisions.find((it) => document.querySelector("#_question").innerHTML.includes(it.question.slice(0, 60)))?.verdicts ?? {};
      return Object.keys(verdicts).find((it) => (verdicts[it] === "best") === good);
    },
    good,
  );
  await press(page, `#_question input[value="${letter}"]`, " ");
  await press(page, `#_form input[value="${sure}"]`, " ");
  await press(page, "#_form button[type=submit]");
  await until(page, () => !document.getElementById("_answer").hidden, "the answer");
}

/** Opens the page, at a time so many days from now; what a case's script hands over is kept for `answer`. */
async function practise(session, way, days) {
  const opened = await open(session);
  await opened.page.setViewport({ width: 1280, height: 900 });
  await opened.page.evaluateOnNewDocument((shift) => {
    const now = Date.now.bind(Date);
    Date.now = () => now() + shift;
    let hand;
    Object.defineProperty(window, "casewrightPractice", {
      configurable: true,
      get: () => hand,
      set: (given) => {
        hand = (kind, name, part) => {
          if (kind === "case") window.told = part;
          given(kind, name, part);
        };
      },
    });
  }, days * DAY);
  await visit(opened.page, way.base + PAGE);
  await until(opened.page, () => !document.getElementById("_practice").hidden, "practice");
  return opened;
}

/** An evening, the days after, and the progress taken elsewhere. */
export async function checkEvening(session, way, tally, label) {
  let { page, faults } = await practise(session, way, 0);
  await page.evaluate(() => localStorage.clear());
  await page.close();
  ({ page, faults } = await practise(session, way, 0));
  tally.check((await words(page, "_due")).startsWith("Nothing answered yet"), `${label}: practice begins empty`, await words(page, "_due"));
  const { stop } = await tabTo(page, (it) => it.tag === "select");
  tally.check(stop !== null && stop.ring, `${label}: Tab reaches the topics`);
  await page.select("#_topic", "posterior-capsule-rupture");
  await press(page, "#_begin button[type=submit]");
  await until(page, () => !document.getElementById("_card").hidden, "a card");
  tally.check((await page.evaluate(() => document.activeElement.id)) === "_title", `${label}: the focus goes to the card`);
  await press(page, "#_form button[type=submit]");
  tally.check((await words(page, "_said")) === "Choose an answer first." && !(await seen(page, "_answer")), `${label}: to commit to nothing opens nothing and says so`);
  await press(page, "#_question input", " ");
  await press(page, "#_form button[type=submit]");
  tally.check((await words(page, "_said")) === "Say first how sure you are.", `${label}: an answer needs a confidence`);

  const first = await words(page, "_title");
  await answer(page, false, "certain");
  const outcome = await words(page, "_outcome");
  tally.check(/comes again tomorrow/.test(outcome) && /best here is/.test(outcome), `${label}: a mistake comes again tomorrow`, outcome);
  tally.check((await words(page, "_said")) === outcome, `${label}: the result is announced`);
  tally.check((await page.evaluate(() => document.querySelectorAll("#_verdicts > ol > li").length)) >= 3, `${label}: every choice has its reason`);
  tally.check((await page.evaluate(() => document.querySelectorAll("#_verdicts .chosen").length)) === 1, `${label}: the answer is marked`);
  tally.check(/certain and wrong/.test(await words(page, "_picture")), `${label}: a confident mistake is shown`, await words(page, "_picture"));
  await press(page, "#_next");
  await until(page, () => document.getElementById("_answer").hidden && !document.getElementById("_card").hidden, "the next card");
  tally.check((await words(page, "_title")) !== first, `${label}: the next decision is of another case`, first);
  await press(page, '#_reading input[value="straight"]', " ");
  tally.none(faults, `${label}: practice goes without a complaint`);
  await page.close();

  // The next day but one, in the same browser: only the mistake is due.
  ({ page, faults } = await practise(session, way, 2));
  tally.check(/^1 topic is due: posterior capsule rupture/.test(await words(page, "_due")), `${label}: two days later the mistake is due`, await words(page, "_due"));
  tally.check(await page.$eval('#_reading input[value="straight"]', (it) => it.checked), `${label}: the preferred reading is remembered`);
  await press(page, "#_review");
  await until(page, () => !document.getElementById("_card").hidden, "a due card");
  tally.check((await words(page, "_title")) !== first, `${label}: another case of the concept is asked`, first);
  tally.check((await words(page, "_due")) === "1 topic is due.", `${label}: an open card is not told by its topic's name`, await words(page, "_due"));
  await answer(page, true, "fairly sure");
  tally.check(/comes again in 3 days/.test(await words(page, "_outcome")), `${label}: a good answer comes again later`, await words(page, "_outcome"));
  tally.check(/^Nothing is due/.test(await words(page, "_due")), `${label}: nothing more is due`, await words(page, "_due"));
  await press(page, "#_export");
  const kept = await page.$eval("#_text", (it) => it.value);
  const link = await page.$eval("#_save", (it) => [it.hidden, it.download, it.href.startsWith("blob:")]);
  tally.check(!link[0] && link[1].endsWith("-practice.json") && link[2], `${label}: progress can be saved as a file`, link);
  // A second page of the same reader answers meanwhile; neither loses what the other knows.
  const second = await practise(session, way, 2);
  await second.page.select("#_topic", "zonular-dialysis");
  await press(second.page, "#_begin button[type=submit]");
  await until(second.page, () => !document.getElementById("_card").hidden, "a card on the second page");
  await answer(second.page, true, "guessing");
  await second.page.close();
  await press(page, '#_reading input[value="ask"]', " ");
  await press(page, "#_export");
  const joined = JSON.parse(await page.$eval("#_text", (it) => it.value));
  tally.check(Object.keys(joined.answers).length === 3, `${label}: two pages open at once lose nothing`, Object.keys(joined.answers));
  await page.evaluate((kept) => localStorage.setItem(Object.keys(localStorage)[0], kept), kept);
  await visit(page, way.base + PAGE);
  await until(page, () => !document.getElementById("_practice").hidden, "practice again");
  await press(page, "#_erase");
  tally.check((await page.evaluate(() => localStorage.length)) === 1, `${label}: erasing asks first`);
  await page.keyboard.press("Enter");
  tally.check((await page.evaluate(() => localStorage.length)) === 0, `${label}: erasing leaves nothing`);
  tally.check(/^Nothing answered/.test(await words(page, "_due")), `${label}: and the page says so`);
  await press(page, "#_import");
  await page.$eval("#_text", (it) => (it.value = "not progress"));
  await press(page, "#_import");
  tally.check(/no progress/.test(await words(page, "_told")), `${label}: what is no progress is refused`, await words(page, "_told"));
  await page.$eval("#_text", (it, kept) => (it.value = kept), kept);
  await press(page, "#_import");
  tally.check(/^Imported: 2 /.test(await words(page, "_told")), `${label}: progress is imported`, await words(page, "_told"));
  await press(page, "#_export");
  tally.check((await page.$eval("#_text", (it) => it.value)) === kept, `${label}: the same state as before`);
  tally.none(faults, `${label}: nothing to complain of the days after either`);
  // Progress that cannot be read is set aside, and practising on does not destroy it.
  await page.evaluate(() => localStorage.setItem(Object.keys(localStorage)[0], "{ broken"));
  await visit(page, way.base + PAGE);
  await until(page, () => !document.getElementById("_practice").hidden, "practice after damage");
  tally.check(/set aside/.test(await words(page, "_told")), `${label}: damaged progress is told of`, await words(page, "_told"));
  await press(page, '#_reading input[value="straight"]', " ");
  tally.check(await page.evaluate(() => Object.values(localStorage).includes("{ broken")), `${label}: and not destroyed`);
  if (session.name === "chromium" && way.name === "http") {
    await press(page, "#_mixed");
    await until(page, () => !document.getElementById("_card").hidden, "a mixed card");
    await page.evaluate(AXE);
    for (const { width, scheme } of VIEWS) {
      tally.none((await axe(page, width, scheme)).violations, `axe on a card, ${width} px, ${scheme}`);
    }
  }
  await page.close();
}

/** Every decision of the planted case as a card: what is known by then, and nothing from later. */
export async function checkCards(session, way, tally, label) {
  const { page } = await practise(session, way, 0);
  for (let stage = 0; stage < DECISIONS; stage += 1) {
    const here = `${label}, card ${stage + 1}`;
    const topic = PLANTED.find(({ part }) => part === `decision ${stage + 1}: what it teaches`).word;
    await page.select("#_topic", topic);
    await press(page, "#_begin button[type=submit]");
    const question = PLANTED.find(({ part }) => part === `decision ${stage + 1}: the question`).word;
    await until(page, `document.getElementById("_question").textContent.includes(${JSON.stringify(question)})`, here);
    // The reader chose the topic by its name; it is the card that must give nothing away.
    await page.evaluate(() => (document.getElementById("_begin").hidden = true));
    const { text, tree, title } = await shown(page, session);
    tally.none(named(within(text + title, later(stage))), `${here}: nothing from later is shown`);
    // Earlier questions have cards of their own; what came of them stands in the record.
    const mine = (it) => !/^decision /.test(it.part) || it.part.startsWith(`decision ${stage + 1}:`);
    const missing = due(stage).filter((it) => mine(it) && within(text, [it]).length === 0);
    tally.none(named(missing), `${here}: what the surgeon knew is shown`);
    if (session.name === "chromium") tally.none(named(within(tree, later(stage))), `${here}: nothing from later is in the accessibility tree`);
    const stops = await page.evaluate(() => [...document.querySelectorAll("#_card a, #_card button, #_card input")].filter((it) => it.getClientRects().length).map((it) => `${it.textContent} ${it.getAttribute("href") ?? ""} ${it.value ?? ""}`).join("\n"));
    tally.none(named(within(stops, later(stage))), `${here}: nothing from later can be reached by Tab`);
    await page.evaluate(() => (document.getElementById("_begin").hidden = false));
    tally.check(text.includes(PLANTED.find(({ part }) => part === "ask title").word), `${here}: it is the case ${CASE}`);
  }
  await page.evaluate(() => localStorage.clear());
  await page.close();
}
