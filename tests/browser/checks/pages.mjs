// One page of each kind in one browser, by one way: it loads whole, says nothing in the console, asks for nothing outside
// the site and breaks no policy. Before that, two pages made faulty on purpose show that each fault would be seen.

import fs from "node:fs";
import http from "node:http";
import os from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { open, visit } from "../lib/browsers.mjs";
import { kinds } from "../lib/site.mjs";
import { serve } from "../lib/server.mjs";

/** Where a department's intranet might have the site. */
export const PREFIX = "/eye/teaching/";

/** The site opened one of the two ways: `{ base, inside(url), log, close }`. `log` is what the server saw, if there is one. */
export async function way(name, root) {
  if (name === "file") {
    const base = pathToFileURL(path.resolve(root)).href + "/";
    return { name, base, inside: (url) => url.startsWith(base), log: [], close: async () => {} };
  }
  const server = await serve(root, PREFIX);
  return { name, base: server.base, inside: (url) => url.startsWith(server.base), log: server.log, close: server.close };
}

/** Loads one page of each kind and checks it. */
export async function checkPages(session, way, root, tally, label) {
  const { page, faults, requests, forget } = await open(session);
  await page.setViewport({ width: 1280, height: 900 });
  for (const { kind, page: name } of kinds(root)) {
    forget();
    way.log.length = 0;
    await visit(page, way.base + name);
    const seen = await page.evaluate(() => ({
      heading: document.querySelector("h1")?.innerText ?? "",
      // A style sheet that was refused leaves the skip link in sight.
      styled: getComputedStyle(document.querySelector("a.skip")).position,
      button: [...document.querySelectorAll("form[data-answer] button")].map((button) => button.hidden),
    }));
    const here = `${label}, ${kind} (${name})`;
    tally.check(seen.heading.trim() !== "", `${here}: it has a heading in sight`);
    tally.check(["absolute", "fixed"].includes(seen.styled), `${here}: its style sheet is in force`, seen.styled);
    tally.none(faults, `${here}: the browser complains of nothing`);
    const outside = requests.filter((url) => !way.inside(url) && !/^(data|about|blob):/.test(url));
    tally.none(outside, `${here}: nothing outside the site is asked for`);
    tally.none(way.log.filter(({ status }) => status !== 200).map(({ url }) => url), `${here}: the server has all that is asked for`);
    if (kind === "ask") {
      // The script says that it ran by showing the buttons; without it they would do nothing, so they must be hidden.
      const right = seen.button.length > 0 && seen.button.every((hidden) => hidden === !session.scripts);
      tally.check(right, `${here}: the buttons are there only with the script`, seen.button);
    }
  }
  if (way.name === "http") tally.check(way.log.some(({ url }) => url.includes("/assets/")), `${label}: the server saw the assets asked for`);
  await page.close();
}

/** Shows on faulty pages that complaints, outside requests and broken policies are seen, and that the file policy is a reader's. */
export async function checkInstruments(session, wayName, tally, label) {
  const outside = http.createServer((request, response) => response.writeHead(404).end());
  await new Promise((resolve) => outside.listen(0, "127.0.0.1", resolve));
  const stranger = `http://127.0.0.1:${outside.address().port}/x.png`;
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "casewright-faulty-"));
  const head = `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><link rel="icon" href="data:,"><title>Faulty</title>`;
  fs.writeFileSync(path.join(folder, "sibling.txt"), "sibling");
  fs.writeFileSync(path.join(folder, "loud.html"), `${head}</head><body><h1>Loud</h1><img src="${stranger}" alt=""><script>console.error("on purpose")</script></body></html>`);
  fs.writeFileSync(path.join(folder, "thrown.html"), `${head}</head><body><h1>Thrown</h1><script>throw new Error("on purpose")</script></body></html>`);
  fs.writeFileSync(path.join(folder, "policy.html"), `${head}<meta http-equiv="Content-Security-Policy" content="default-src 'none'"></head><body><h1>Policy</h1><p style="color: red">x</p></body></html>`);
  const place = await way(wayName, folder);
  const { page, faults, requests, forget } = await open(session);

  await visit(page, `${place.base}loud.html`);
  tally.check(requests.includes(stranger), `${label}: a request outside the site is seen`, requests);
  if (session.scripts) {
    tally.check(faults.some((fault) => fault.includes("on purpose")), `${label}: a console error is seen`, faults);
    const fetched = await page.evaluate(() => fetch("sibling.txt").then((answer) => answer.text(), () => "refused"));
    // On file:// a page may read no other file. If it could, the browser would not have the reader's policy.
    tally.check(fetched === (wayName === "file" ? "refused" : "sibling"), `${label}: a sibling file can be fetched on http only`, fetched);
    forget();
    await visit(page, `${place.base}thrown.html`);
    tally.check(faults.some((fault) => fault.includes("on purpose")), `${label}: a thrown error is seen`, faults);
  }
  forget();
  await visit(page, `${place.base}policy.html`);
  tally.check(faults.length > 0, `${label}: a broken policy is seen`, faults);

  await page.close();
  await place.close();
  await new Promise((resolve) => {
    outside.close(resolve);
    outside.closeAllConnections();
  });
  fs.rmSync(folder, { recursive: true, force: true });
}
