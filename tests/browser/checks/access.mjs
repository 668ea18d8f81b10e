// axe finds nothing on any kind of page, light and dark, narrow and wide; and no page runs off sideways at 320 px.

import fs from "node:fs";
import { createRequire } from "node:module";
import { open, visit } from "../lib/browsers.mjs";
import { files, kinds } from "../lib/site.mjs";

export const AXE = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
export const VIEWS = [1280, 360].flatMap((width) => ["light", "dark"].map((scheme) => ({ width, scheme })));

/** Runs axe on what is shown; gives its findings in words. */
export async function axe(page, width, scheme) {
  await page.setViewport({ width, height: 900 });
  await page.emulateMediaFeatures([
    { name: "prefers-color-scheme", value: scheme },
    // A colour half-way through a transition is nobody's contrast.
    { name: "prefers-reduced-motion", value: "reduce" },
  ]);
  const found = await page.evaluate(
    (values) => axe.run({ runOnly: { type: "tag", values }, resultTypes: ["violations"] }).then((result) => ({
      rules: result.passes.length,
      violations: result.violations.flatMap((it) => it.nodes.slice(0, 3).map((node) => `${it.id}: ${it.help}: ${node.html.slice(0, 160)} ${node.any[0]?.message ?? ""}`)),
    })),
    TAGS,
  );
  return found;
}

/** axe on every kind of page, and on the ask page once more with all answers open. */
export async function checkAccess(session, way, root, tally) {
  const { page } = await open(session);
  const load = async (name) => {
    await visit(page, way.base + name);
    // Injected by the inspector: the page's own policy lets no other script in.
    await page.evaluate(AXE);
  };
  const pages = kinds(root);
  for (const { kind, page: name } of [...pages, { ...pages.find(({ kind }) => kind === "ask"), kind: "ask, answered" }]) {
    await load(name);
    if (kind === "ask, answered") await page.evaluate(() => document.querySelectorAll("details").forEach((it) => (it.open = true)));
    for (const { width, scheme } of VIEWS) {
      const { rules, violations } = await axe(page, width, scheme);
      tally.none(violations, `axe, ${kind} (${name}), ${width} px, ${scheme}`);
      tally.check(rules > 10, `axe, ${kind} (${name}), ${width} px, ${scheme}: its rules were applied`, `${rules}`);
    }
  }
  // An instrument that finds nothing in a faulty page would find nothing in ours.
  await load("index.html");
  await page.evaluate(() => document.querySelector("main").insertAdjacentHTML("beforeend", '<p id="planted"><img src="data:,"><a href="#x"></a></p>'));
  const { violations } = await axe(page, 1280, "light");
  tally.check(violations.length > 0, "axe finds a picture without a text and a link without words");
  await page.close();
}

/** At 320 px, the width of a page magnified four times on a common screen, nothing runs off sideways (WCAG 2.2, 1.4.10). */
export async function checkReflow(session, way, root, tally) {
  const { page } = await open(session);
  await page.setViewport({ width: 320, height: 640 });
  const wide = [];
  const all = files(root).filter((name) => name.endsWith(".html"));
  for (const name of all) {
    await page.goto(way.base + name, { waitUntil: "load" });
    const found = await page.evaluate(() => {
      document.querySelectorAll("details").forEach((it) => (it.open = true));
      const over = document.documentElement.scrollWidth - document.documentElement.clientWidth;
      if (over <= 0) return null;
      const culprits = [...document.body.querySelectorAll("*")].filter((it) => it.getBoundingClientRect().right > innerWidth + 1);
      return `${over} px too wide; ${culprits.slice(0, 2).map((it) => it.outerHTML.slice(0, 120)).join(" … ")}`;
    });
    if (found) wide.push(`${name}: ${found}`);
  }
  tally.none(wide, `no page of ${all.length} runs off sideways at 320 px, answers open`);
  await page.close();
}
