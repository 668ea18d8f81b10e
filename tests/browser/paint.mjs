// Figures: first paint and layout shift of pages opened from a folder: nothing of the page cached, in a browser that has
// finished starting, as a reader's has. `node paint.mjs SITE`

import path from "node:path";
import { pathToFileURL } from "node:url";
import { launch, open, visit } from "./lib/browsers.mjs";
import { kinds } from "./lib/site.mjs";

const [site] = process.argv.slice(2);
if (!site) throw new Error("usage: node paint.mjs SITE");
const base = pathToFileURL(path.resolve(site)).href + "/";
const pages = kinds(site).filter(({ kind }) => ["straight", "ask", "index", "cases", "concept: complication"].some((it) => kind.startsWith(it)));

/** So long a fresh browser is busy with itself, in ms; measured sooner, its own start is measured. */
const SETTLE = 2000;

/** First contentful paint in ms since the navigation began, and the sum of all layout shifts until 500 ms after the load. */
const figures = () =>
  new Promise((resolve) => {
    let shift = 0;
    new PerformanceObserver((list) => list.getEntries().forEach((it) => (shift += it.value))).observe({ type: "layout-shift", buffered: true });
    setTimeout(() => resolve({ paint: performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? NaN, shift }), 500);
  });

for (const { kind, page: name } of pages) {
  const paints = [];
  let shifts = 0;
  for (let run = 0; run < 5; run += 1) {
    const session = await launch("chromium");
    const { page } = await open(session);
    await page.setViewport({ width: run % 2 ? 360 : 1280, height: 900 });
    await new Promise((resolve) => setTimeout(resolve, SETTLE));
    await visit(page, base + name);
    const { paint, shift } = await page.evaluate(figures);
    paints.push(paint);
    shifts += shift;
    await session.close();
  }
  paints.sort((one, other) => one - other);
  console.log(`${kind} (${name}): first paint ${paints[2].toFixed(0)} ms (median of 5, ${paints[0].toFixed(0)} to ${paints[4].toFixed(0)}), layout shift ${shifts.toFixed(4)}`);
}
