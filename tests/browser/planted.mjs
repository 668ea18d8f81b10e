// A small library with made-up words planted in every part of a case. `node planted.mjs DIR`
//
// Each word may be known from one stage on: stage 0 is what is told before the first decision, stage n what the n-th
// answer lays bare. The tests look for words on the ask page before their stage (a leak) and at it (a loss).

import fs from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";

/** All planted words: `{ word, stage, part, shown }`; `shown: false` marks a word that the page with open decisions never shows. */
export const PLANTED = [];

/** How many decisions the planted case has. */
export const DECISIONS = 4;

/** The name of the planted case. */
export const CASE = "a-tuesday";

/** A word that occurs in no language and holds no other planted word. */
function plant(stage, part, { shown = true } = {}) {
  const at = PLANTED.length;
  const syllables = "ba de fi go ku la me ni po ru sa te vi wo zu".split(" ");
  const pick = (power) => syllables[Math.floor(at / syllables.length ** power) % syllables.length];
  const word = `xq${pick(2)}${pick(1)}${pick(0)}xq`;
  PLANTED.push({ word, stage, part, shown });
  return word;
}

/** A value that occurs once in the case and gives itself away as a word does. */
function value(stage, part, word) {
  PLANTED.push({ word, stage, part, shown: true });
  return word;
}

/** Concepts of the library's own, so that a term gives itself away by its label too. */
const CONCEPTS = { finding: [], technique: [], complication: [], outcome: [], material: [], instrument: [] };

function concept(kind, stage, part) {
  const word = plant(stage, part);
  const entry = { name: word, label: word, definition: "Made up for a test.", sources: ["common practice"] };
  if (kind === "technique") entry.level = "foundation";
  if (kind === "complication") Object.assign(entry, { severity: "serious", phases: ["during surgery", "early after", "late after"], refer: "The consultant, today." });
  CONCEPTS[kind].push(entry);
  return word;
}

/** The step a drug is given at tells the drug, and the note tells more. */
const drug = (stage, part) => ({ substance: concept("material", stage, `${part}: a drug`), strength: "1 mg/mL", dose: "0.1 mL", route: "intracameral", note: plant(stage, `${part}: the drug's note`) });

/** A decision; its question is told at its own stage, its reasons at the next. */
function decision(stage, at) {
  const part = `decision ${stage + 1}`;
  const options = ["best", "acceptable", "risky", "harmful"].map((verdict) => ({
    choice: plant(stage, `${part}: a choice`),
    verdict,
    because: plant(stage + 1, `${part}: a reason`),
    unless: plant(stage + 1, `${part}: an exception`),
    source: plant(stage + 1, `${part}: a source`),
  }));
  const fields = {
    id: plant(stage, `${part}: its id`, { shown: false }),
    at,
    ask: `${plant(stage, `${part}: the question`)}?`,
    teaches: [concept("technique", stage + 1, `${part}: what it teaches`)],
    given: { grade: "fellow", "at hand": [plant(stage, `${part}: at hand`)], "not at hand": [plant(stage, `${part}: not at hand`)] },
    options,
  };
  return "```decision\n" + JSON.stringify(fields, null, 2) + "\n```\n";
}

const DRAWING = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 3"><path d="M0 0L4 3"/></svg>\n';

/** Hashes of what somebody looked at: the drawing above, and the demo's film. If the film changes, the compile tells the new one. */
const DRAWN = "aa73b69f76a68d3b";
const FILMED = { during: "23732c258e8a035a", after: "ac57cd7491bc735b" };
const looked = (of) => ({ by: "nobody", of, faces: "none", iris: "none", words: "none" });

/** A step with a word in every field that holds words. */
const step = (id, at, stage) => ({
  id,
  at: value(stage, `step ${id}: its time`, at),
  do: concept("technique", stage, `step ${id}`),
  with: [concept("instrument", stage, `step ${id}: what it is done with`)],
  gives: [drug(stage, `step ${id}`)],
  settings: { vacuum: value(stage, `step ${id}: its vacuum`, `3${id.slice(1)}7 mmHg`) },
  note: plant(stage, `step ${id}: its note`),
});

const managed = (stage, step, part) => ({
  do: concept("technique", stage, `${part}: what was done`),
  worked: "partly",
  ...(step ? { step } : {}),
  with: [concept("instrument", stage, `${part}: with what`)],
  gives: [drug(stage, part)],
  note: plant(stage, `${part}: its note`),
});

const outcome = (after, stage, iop) => ({
  after,
  acuity: { "best corrected": "6/12" },
  iop: value(stage, `outcome after ${after}: its pressure`, iop),
  is: [concept("outcome", stage, `outcome after ${after}`)],
  gives: [drug(stage, `outcome after ${after}`)],
  note: plant(stage, `outcome after ${after}: its note`),
});

// The decisions stand at the plan, at s3, at s5 and three days after; so steps 1 and 2 belong to stage 1, 3 and 4 to
// stage 2, the rest of the operation to stage 3, and what has no moment of its own to the end, stage 4.
const END = DECISIONS;

/** What is said in the films; it stands folded away, so it is looked for in the code alone. */
const CAPTIONS = { during: plant(2, "captions of a step", { shown: false }), after: plant(END, "captions of no step", { shown: false }) };

const front = () => ({
  title: `A case of ${plant(END, "title")}`,
  ask_title: `A case of ${plant(0, "ask title")}`,
  // A summary tells the whole case in a breath; only the straight reading has it.
  summary: `What happened was ${plant(END, "summary", { shown: false })}.`,
  eye: "left",
  patient: { age: 66, sex: "female", note: plant(0, "the patient's note") },
  fellow_eye: { state: "phakic", complication: "none", note: plant(0, "the other eye's note") },
  setting: { "not available": [plant(0, "setting: not at hand")], note: plant(0, "setting: its note") },
  findings: [{ is: concept("finding", 0, "a finding"), note: plant(0, "a finding's note") }],
  absent: [concept("finding", 0, "an absent finding")],
  before: [{ when: "in clinic", acuity: { "best corrected": "6/24" }, iop: "15 mmHg", gives: [drug(0, "before")], note: plant(0, "before: its note") }],
  planned: {
    procedure: "phacoemulsification",
    with: [concept("technique", 1, "plan: with")],
    combined: [concept("technique", 1, "plan: combined")],
    anaesthesia: "topical anaesthesia",
    lens: { kind: concept("material", 1, "plan: the lens"), power: "21.5 D", place: "bag", note: plant(1, "plan: the lens's note") },
    note: plant(1, "plan: its note"),
  },
  operation: {
    surgeon_at: "12 o'clock",
    operators: [{ grade: "fellow" }, { grade: "consultant", from: "s3", takeover: true, note: plant(2, "the takeover's note") }],
    incision: { at: value(2, "the wound made at s3: where", "11 o'clock"), width: value(2, "the wound made at s3: its width", "2.2 mm"), kind: "clear corneal", step: "s3", sutures: plant(END, "sutures") },
    ports: [value(1, "a port", "2 o'clock"), { at: value(2, "a port made at s4", "10 o'clock"), step: "s4" }],
    devices: [
      { is: concept("material", 2, "a device"), at: ["4 o'clock"], step: "s3", note: plant(2, "a device's note") },
      { is: concept("material", 3, "a device without a step"), at: ["7 o'clock"], note: plant(3, "a device without a step: its note") },
    ],
    steps: [step("s1", "0:27", 1), step("s2", "2:07", 1), step("s3", "2:38", 2), step("s4", "5:19", 2), step("s5", "6:02", 3), step("s6", "8:56", 3)],
    converted: { to: concept("technique", 2, "converted to"), at: "s4", because: plant(2, "converted because") },
    lens: { kind: concept("material", 3, "the lens put in"), power: value(3, "the lens put in: its power", "20.5 D"), place: "sulcus", note: plant(3, "the lens put in: its note") },
  },
  complications: [
    {
      // It arose early but nobody saw it before s4: the step where it arose must not give it away.
      is: concept("complication", 2, "a complication noticed later"),
      during: "s2",
      noticed: "s4",
      extent: value(2, "a complication's extent", "2.7 mm"),
      at: value(2, "a complication's place", "superonasal"),
      managed: [managed(2, "s4", "done at a step"), managed(3, "s5", "done after the next decision"), managed(3, null, "done at no step")],
      note: plant(2, "a complication's note"),
    },
    { is: concept("complication", 3, "a complication at a step"), during: "s5", managed: [managed(3, "s6", "done in the last step")], note: plant(3, "a complication at a step: its note") },
    { is: concept("complication", 4, "a late complication"), after: "5 days", managed: [managed(4, null, "done late")], note: plant(4, "a late complication's note") },
  ],
  outcomes: [outcome("1 day", 3, "19.3 mmHg"), outcome("3 days", 4, "18.6 mmHg"), outcome("6 weeks", 4, "16.7 mmHg")],
  follow_up: "complete",
  later: [
    {
      after: "3 months",
      procedure: concept("technique", 4, "a later operation"),
      by: plant(4, "a later operation: by whom"),
      why: plant(4, "a later operation: why"),
      lens: { kind: concept("material", 4, "a later operation: the lens"), power: value(4, "a later operation: the lens's power", "18.5 D"), place: "sulcus", note: plant(4, "a later operation: the lens's note") },
    },
  ],
  lessons: [plant(END, "a lesson"), plant(END, "another lesson")],
  contrast: [{ case: "a-thursday", principle: plant(END, "contrast: the principle", { shown: false }) }],
  media: [
    { file: "before.svg", shows: "imaging", alt: plant(0, "a picture from before"), looked_at: looked(DRAWN) },
    { file: "during.mp4", shows: "operation", alt: plant(2, "a film of a step"), at: "s3", captions: "during.vtt", looked_at: looked(FILMED.during) },
    { file: "after.mp4", shows: "operation", alt: plant(END, "a film of no step"), captions: "after.vtt", looked_at: looked(FILMED.after) },
  ],
  consent: { status: "obtained", scope: "teaching" },
  audience: "department",
  authors: [{ name: plant(END, "an author"), role: plant(END, "an author's role") }],
  interests: plant(END, "interests"),
  references: [plant(END, "a reference")],
});

/** The account: a passage per stage, each followed by its decision. */
function account() {
  const passage = (stage) => `The account goes on: ${plant(stage, `narrative, passage ${stage}`)}.\n\n> Said: ${plant(stage, `narrative, a quotation in passage ${stage}`)}.\n`;
  const moments = ["plan", "s3", "s5", "after 3 days"];
  let out = `## At first\n\n`;
  moments.forEach((at, stage) => {
    out += `${passage(stage)}\n${decision(stage, at)}\n## A heading ${plant(stage + 1, `narrative, a heading of passage ${stage + 1}`)}\n\n`;
  });
  return out + passage(END);
}

const file = (fields, body) => `---\n${JSON.stringify(fields, null, 2)}\n---\n\n${body}`;

const CASE_TEXT = file(front(), account());

// A case for the planted one to be read beside; its title shows there, so it may only stand at the end.
const OTHER_TEXT = file(
  {
    title: `Another case of ${plant(END, "contrast: the other case's title")}`,
    summary: "Nothing happened.",
    eye: "right",
    patient: { age: 70, sex: "male" },
    findings: ["nuclear sclerosis"],
    planned: { procedure: "phacoemulsification", anaesthesia: "topical anaesthesia", lens: { kind: "one-piece acrylic lens", power: "21.5 D", place: "bag" } },
    operation: { surgeon_at: "12 o'clock", operators: [{ grade: "consultant" }], steps: [{ id: "s1", at: "0:20", do: "capsulorhexis" }] },
    outcomes: [{ after: "1 day", acuity: { unaided: "6/9" } }],
    follow_up: "complete",
    consent: { status: "obtained", scope: "teaching" },
    audience: "department",
    authors: [{ name: "Somebody", role: "operator" }],
  },
  "All went as planned.\n",
);

/** Writes the library into a folder. */
export function write(dir) {
  const put = (name, content) => {
    fs.mkdirSync(path.dirname(path.join(dir, name)), { recursive: true });
    fs.writeFileSync(path.join(dir, name), content);
  };
  // JSON is YAML; writing it needs no library that could fold or quote a word.
  put("library.yaml", JSON.stringify({ title: "Planted words", unit: "A test", edition: "2026" }));
  put(`${CASE}.md`, CASE_TEXT);
  put("a-thursday.md", OTHER_TEXT);
  for (const [kind, concepts] of Object.entries(CONCEPTS)) put(`vocabulary/${kind}.yaml`, JSON.stringify({ kind, concepts }, null, 2));
  put("media/before.svg", DRAWING);
  for (const [name, words] of Object.entries(CAPTIONS)) {
    put(`media/${name}.mp4`, fs.readFileSync(new URL("../../cases/media/low-ceiling.mp4", import.meta.url)));
    put(`media/${name}.vtt`, `WEBVTT\n\n00:01.000 --> 00:04.000\n${words}\n`);
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  if (!process.argv[2]) throw new Error("usage: node planted.mjs DIR");
  write(process.argv[2]);
  console.log(`  ${PLANTED.length} words planted`);
}
