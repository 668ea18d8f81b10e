// Gate: the Nu checker finds no fault in any page or style sheet of a site. `node markup.mjs SITE`

import { spawnSync } from "node:child_process";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { Tally } from "./lib/tally.mjs";
import { files } from "./lib/site.mjs";

const root = process.argv[2];
if (!root) throw new Error("usage: node markup.mjs SITE");

/** Findings we live with, each with its reason. A pattern that matches nothing any more is a failure, so the list cannot rot. */
const ACCEPTED = [
  {
    // The checker reads a file, which has no origin for it, so 'self' matches nothing. That the two are loaded is seen in the browsers.
    message: /^Resource violates Content Security Policy \(meta tag\): external stylesheet “(\.\.\/)?assets\/style-[0-9a-f]+\.css” blocked/,
  },
  { message: /^Resource violates Content Security Policy \(meta tag\): external script “((\.\.\/)?assets\/(page|search|film|practice)-[0-9a-f]+\.js|search\.js|practice\/topics\.js)” blocked/ },
  { message: /^Resource violates Content Security Policy \(meta tag\): (media|image) “(\.\.\/)?media\/[0-9a-f]+\.(mp4|webm|png|jpg|webp|svg)” blocked/ },
  // A block of data runs nothing; browsers let it pass, and the browser gate sees that no policy is broken.
  { message: /^Inline script violates Content Security Policy \(meta tag\): blocked by “script-src” directive/, extract: /<script type="application\/json">/ },
];

const tally = new Tally();
const checked = files(root).filter((name) => /\.(html|css)$/.test(name));
tally.check(checked.length > 20, "there are pages to check", `${checked.length}`);

const jar = path.join(path.dirname(fileURLToPath(import.meta.url)), "node_modules/vnu-jar/build/dist/vnu.jar");

/** The checker's messages about some files. Its exit code says no more than they do, so it is told to leave that out. */
function messages(names) {
  const run = spawnSync(
    "java",
    ["-Xss2m", "-jar", jar, "--also-check-css", "--format", "json", "--stdout", "--exit-zero-always", ...names],
    { cwd: root, encoding: "utf8", maxBuffer: 256 * 1024 * 1024 },
  );
  if (run.error || run.status !== 0) throw new Error(`the checker could not run: ${run.error ?? run.stderr}`);
  return JSON.parse(run.stdout).messages;
}

// An instrument that finds nothing in a faulty page would find nothing in ours.
const here = path.dirname(fileURLToPath(import.meta.url));
const faulty = messages([path.join(here, "lib/faulty.html")]);
tally.check(faulty.some(({ type }) => type === "error"), "the checker finds the fault in a faulty page", faulty);

const used = new Set();
const told = [];
for (const it of messages(checked)) {
  const accepted = ACCEPTED.find(({ message }) => message.test(it.message));
  if (accepted) {
    used.add(accepted);
    continue;
  }
  const place = `${it.url?.replace(/^.*?([^/]+\/[^/]+)$/, "$1")}, line ${it.lastLine}`;
  told.push(`${it.subType ?? it.type}: ${it.message} (${place}) ${it.extract?.replace(/\s+/g, " ") ?? ""}`);
}
console.log(`  ${checked.length} files checked`);
tally.none(told, "no error and no warning in any page or style sheet");
tally.none(ACCEPTED.filter((it) => !used.has(it)).map((it) => String(it.message)), "every accepted finding still occurs");
tally.close();
