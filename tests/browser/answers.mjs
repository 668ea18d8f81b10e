// Answers queries with the search page's script. `node answers.mjs FOLDER [BROWSER] < REQUESTS`
// A line of JSON for each query in, a line for each answer out. Without a browser Node.js runs the script itself.

import { answerOf, engineInBrowser, requests, runtime } from "./lib/runtime.mjs";

const [root, browser] = process.argv.slice(2);
const asked = await requests();
const out = [];
if (browser) {
  const { page, faults, close } = await engineInBrowser(browser, root);
  await page.evaluate(async (answerOf) => {
    window.engine = await window.fresh();
    window.answerOf = eval(`(${answerOf})`);
  }, String(answerOf));
  for (let from = 0; from < asked.length; from += 50) {
    const some = asked.slice(from, from + 50);
    out.push(...(await page.evaluate(async (list) => {
      const answers = [];
      for (const request of list) answers.push(await window.answerOf(window.engine, window.about, request));
      return answers;
    }, some)));
  }
  await close();
  if (faults.length) throw new Error(faults.join("\n"));
} else {
  const engine = runtime(root).engine();
  const about = await engine.start();
  for (const request of asked) out.push(await answerOf(engine, about, request));
}
process.stdout.write(out.map((line) => `${JSON.stringify(line)}\n`).join(""));
