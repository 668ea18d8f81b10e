// The film of a case: it plays and seeks, its captions show, its list of steps seeks and follows, a step can be seen again and
// again, and the WebVTT files that lie beside it are read by the browser's own parser as the page's script has them.

import { open, visit } from "../lib/browsers.mjs";
import { files, text } from "../lib/site.mjs";

/** The first page with a film, in its straight reading. */
export function filmPage(root) {
  const page = files(root).find((name) => /^cases\/.*\.html$/.test(name) && !name.endsWith("-ask.html") && text(root, name).includes('<figure class="film"'));
  if (!page) throw new Error("the site has no page with a film");
  return page;
}

/** Waits in steps until `look` in the page gives something true; gives what it gave last. */
async function until(page, look, tries = 100) {
  let seen;
  for (let at = 0; at < tries; at += 1) {
    seen = await page.evaluate(look);
    if (seen) return seen;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  return seen;
}

/** All that is checked of a film with scripts, and that the page says all without. */
export async function checkFilm(session, way, root, tally, label) {
  const { page, faults } = await open(session);
  await page.setViewport({ width: 1280, height: 900 });
  const name = filmPage(root);
  await visit(page, way.base + name);
  const listed = await page.evaluate(() => ({
    steps: [...document.querySelectorAll("figure.film a[data-at]")].map((link) => Number(link.dataset.at)),
    said: document.querySelectorAll("figure.film .said-words li").length,
    tools: document.querySelector("figure.film .film-tools").hidden,
    tracks: document.querySelector("figure.film video").textTracks.length,
  }));
  tally.check(listed.steps.length > 3 && listed.said > 3, `${label}: steps and words of the film stand on the page`, listed);
  tally.check(listed.tools === !session.scripts, `${label}: the film's tools are there only with the script`, listed);
  if (session.scripts) {
    await play(page, listed.steps, tally, label);
    if (way.name === "http") await parse(page, way, root, name, tally, label);
  }
  // A browser breaks off asking for a film when it has enough of it, and calls that a failed request.
  tally.none(faults.filter((fault) => !/^request failed: .*\.mp4$/.test(fault)), `${label}: the browser complains of nothing at the film`);
  await page.close();
}

async function play(page, steps, tally, label) {
  const ready = await until(page, () => {
    const video = document.querySelector("figure.film video");
    return video.readyState >= 1 && video.seekable.length > 0 ? { length: video.duration, tracks: [...video.textTracks].map(({ kind, mode, cues }) => ({ kind, mode, cues: cues?.length ?? 0 })) } : null;
  });
  tally.check(ready?.length > steps.at(-1), `${label}: the film is there and longer than its last step`, ready);
  const [captions, chapters] = ready?.tracks ?? [];
  tally.check(captions?.kind === "captions" && captions.mode === "showing" && captions.cues > 3, `${label}: captions show`, ready);
  tally.check(chapters?.kind === "chapters" && chapters.cues === steps.length, `${label}: each listed step is a chapter`, ready);

  // The third step, by its link: the film goes there and the list follows.
  await page.evaluate(() => document.querySelectorAll("figure.film a[data-at]")[2].click());
  const at = await until(page, () => {
    const video = document.querySelector("figure.film video");
    const current = [...document.querySelectorAll("figure.film a[data-at]")].findIndex((link) => link.getAttribute("aria-current") === "step");
    return !video.seeking && current === 2 ? video.currentTime : null;
  });
  tally.check(at !== null && Math.abs(at - steps[2]) < 5, `${label}: a listed step seeks, and the list follows`, `${at}`);

  // A caption is shown at its time.
  await page.evaluate(() => {
    const video = document.querySelector("figure.film video");
    video.pause();
    video.currentTime = video.textTracks[0].cues[1].startTime + 0.5;
  });
  const active = await until(page, () => document.querySelector("figure.film video").textTracks[0].activeCues?.[0]?.text ?? null);
  tally.check(Boolean(active), `${label}: a caption is shown at its time`, `${active}`);

  // Again and again: near the end of the third step the film goes back to its beginning.
  await page.evaluate((end) => {
    const figure = document.querySelector("figure.film");
    figure.querySelectorAll("a[data-at]")[2].click();
    figure.querySelector("input[type=checkbox]").checked = true;
    const video = figure.querySelector("video");
    video.muted = true;
    video.currentTime = end - 1;
    video.play();
  }, steps[3]);
  const back = await until(page, `(() => { const video = document.querySelector("figure.film video"); return video.currentTime < ${steps[2] + 20} && video.currentTime >= ${steps[2] - 1} ? video.currentTime : null; })()`);
  tally.check(back !== null, `${label}: a step is seen again`, await page.evaluate(() => document.querySelector("figure.film video").currentTime));

  const speed = await page.evaluate(() => {
    const select = document.querySelector("figure.film select");
    select.value = "0.5";
    select.dispatchEvent(new Event("change"));
    return document.querySelector("figure.film video").playbackRate;
  });
  tally.check(speed === 0.5, `${label}: the speed can be chosen`, `${speed}`);
}

/** Lets the browser's own parser read the files, from a track element that is there for the test alone. */
async function parse(page, way, root, name, tally, label) {
  const hrefs = [...text(root, name).matchAll(/href="\.\.\/(media\/[0-9a-f]+\.vtt)"/g)].map((hit) => hit[1]);
  tally.check(hrefs.length === 2, `${label}: captions and steps lie beside the film`, hrefs);
  for (const [at, href] of hrefs.entries()) {
    const read = await page.evaluate(
      (address) =>
        new Promise((resolve) => {
          const video = document.querySelector("figure.film video");
          const track = document.createElement("track");
          track.kind = "metadata";
          track.addEventListener("load", () => resolve([...track.track.cues].map(({ startTime, endTime, text }) => [startTime, endTime, text])));
          track.addEventListener("error", () => resolve(null));
          track.src = address;
          video.append(track);
          track.track.mode = "hidden";
        }),
      way.base + href,
    );
    const island = JSON.parse(await page.evaluate(() => document.querySelector("figure.film script").textContent));
    const known = at === 0 ? island.captions : island.chapters;
    const plain = (words) => words.replaceAll("&amp;", "&").replaceAll("&lt;", "<").replaceAll("&gt;", ">");
    const same = read?.length === known.length && read.every(([from, to, words], nth) => Math.abs(from - known[nth][0]) < 0.01 && Math.abs(to - known[nth][1]) < 0.01 && plain(words) === known[nth][2]);
    tally.check(same, `${label}: the browser reads ${href} as the page has it`, { read: read?.slice(0, 2), known: known.slice(0, 2) });
  }
}
