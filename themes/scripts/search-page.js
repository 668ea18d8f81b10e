// The search page: what is typed and chosen, its results, and the address that tells both.
(function () {
  "use strict";
  if (typeof document === "undefined") return;
  const words = casewright.words;
  const at = (id) => document.getElementById(id);
  const form = at("_ask");
  if (!form) return;
  const field = form.elements.q, hide = form.elements.hide, page = at("_results");
  const STEP = 10, FEW = 12, PAUSE = 60;

  // ---- Parts of the index come as scripts: nothing else may be read from a file share ----

  const waiting = new Map();
  window.casewright_part = (key, value) => {
    const found = waiting.get(key);
    if (found) found.resolve(value);
  };
  const load = (folder) => (key) => new Promise((resolve, reject) => {
    const script = document.createElement("script");
    waiting.set(key, { resolve });
    const missing = () => reject(new Error(key));
    script.onload = () => {
      // A part that was loaded and said nothing is no part.
      missing();
      waiting.delete(key);
      script.remove();
    };
    script.onerror = () => {
      missing();
      waiting.delete(key);
      script.remove();
    };
    script.src = folder + key + ".js";
    document.head.append(script);
  });

  let engine = null, about = null, latest = 0;
  window.casewright_search = (folder) => {
    const begun = casewright.engine(load(folder));
    begun.start().then((told) => {
      engine = begun;
      about = told;
      layOut();
      restore();
    }, broken);
  };

  // ---- What is asked: the address holds all of it ----

  let state = { typed: "", hidden: false, plain: false, most: STEP, chosen: [] };

  function fromAddress() {
    const told = new URLSearchParams(location.search);
    const chosen = [];
    for (const group of about.groups) {
      for (const name of (told.get(group.name) || "").split(",").filter(Boolean)) chosen.push(group.name + "=" + name);
    }
    return {
      typed: told.get("q") || "",
      hidden: told.get("hide") === "lessons",
      plain: told.get("words") === "only",
      most: Math.min(500, Math.max(STEP, Number(told.get("show")) || STEP)),
      chosen,
    };
  }

  function address() {
    const told = new URLSearchParams();
    if (state.typed) told.set("q", state.typed);
    for (const group of about.groups) {
      const names = state.chosen.filter((it) => it.startsWith(group.name + "=")).map((it) => it.slice(group.name.length + 1));
      if (names.length) told.set(group.name, names.join(","));
    }
    if (state.hidden) told.set("hide", "lessons");
    if (state.plain) told.set("words", "only");
    if (state.most > STEP) told.set("show", String(state.most));
    const text = told.toString().replace(/%2C/g, ",");
    return text ? "?" + text : location.pathname.split("/").pop();
  }

  /** Takes over a change. `step` makes a step that Back takes back. */
  function change(more, step) {
    state = { ...state, most: STEP, ...more };
    const target = address();
    if (step && target !== (location.search || location.pathname.split("/").pop())) history.pushState(null, "", target);
    else history.replaceState(null, "", target);
    return show();
  }

  function restore() {
    state = fromAddress();
    field.value = state.typed;
    hide.checked = state.hidden;
    show();
  }

  // ---- What is shown ----

  function make(tag, attributes, ...content) {
    const made = document.createElement(tag);
    for (const name of Object.keys(attributes || {})) made.setAttribute(name, attributes[name]);
    made.append(...content);
    return made;
  }

  const cases = (count) => count + (count === 1 ? " case" : " cases");

  function say(text) {
    if (at("_said").textContent !== text) at("_said").textContent = text;
  }

  function broken(fault) {
    page.setAttribute("data-state", "broken");
    say("A part of the search index is missing (" + (fault && fault.message) + "), so this search is not complete. Reload the page; if that does not help, tell whoever keeps these pages.");
  }

  /** Text in which the words that matched are marked. */
  function marked(text, marks) {
    const out = document.createDocumentFragment();
    let last = 0;
    for (const found of text.matchAll(/[\p{L}\p{M}\p{N}]+(?:[-./−–](?=\d)[\p{L}\p{M}\p{N}]+)*/gu)) {
      const hit = words.tokens(found[0]).some((token) => marks.has(words.term(token)));
      if (!hit) continue;
      out.append(text.slice(last, found.index), make("mark", null, found[0]));
      last = found.index + found[0].length;
    }
    out.append(text.slice(last));
    return out;
  }

  const strength = (text, marks) => new Set(words.tokens(text).map(words.term).filter((term) => marks.has(term))).size;

  /** The lesson that says most of what was asked. */
  function lesson(card, marks) {
    let best = null, most = -1;
    for (const text of card.lessons) {
      const found = strength(text, marks);
      if (found > most) [best, most] = [text, found];
    }
    return best;
  }

  /** Values stated in a case that were asked for, by name or by their words. */
  function reasons(card, values, marks, query) {
    const labels = new Set([].concat(...query.named.map((run) => run.concepts.map(({ label }) => label))));
    const asked = card.stated.map((value) => ({ value, label: values[value].label })).filter(({ value, label }) => {
      if (labels.has(label) || state.chosen.includes(nameOf(value, values))) return true;
      const terms = words.tokens(label).map(words.term).filter(Boolean);
      return terms.length > 0 && terms.filter((term) => marks.has(term)).length * 2 >= terms.length;
    });
    return asked.map(({ label }) => label);
  }

  const groupOf = (value) => about.groups.find((group) => value >= group.first && value < group.first + group.size);
  const nameOf = (value, values) => groupOf(value).name + "=" + values[value].name;
  const first = (text) => text.charAt(0).toUpperCase() + text.slice(1);

  function result(card, values, marks, query, lacks) {
    const title = state.hidden && card.askTitle ? card.askTitle : card.title;
    const item = make("li", null, make("h3", null, state.hidden ? title : marked(title, marks)));
    if (state.hidden) {
      const findings = card.stated.filter((value) => groupOf(value).name === "finding").map((value) => values[value].label);
      if (findings.length) item.append(make("p", { class: "line" }, first(findings.join(", ")) + "."));
    } else {
      const because = reasons(card, values, marks, query);
      if (because.length) item.append(make("p", { class: "line" }, "Here because: ", marked(because.join(", "), marks), "."));
      const text = lesson(card, marks);
      if (text) item.append(make("p", { class: "lesson" }, marked(text, marks)));
    }
    if (lacks.length && !state.hidden) item.append(make("p", { class: "line" }, "Without: " + lacks.join(", ") + "."));
    const ways = make("p", { class: "ways" });
    const unseen = () => make("span", { class: "unseen" }, ": " + title);
    if (card.asks) ways.append(make("a", { href: "cases/" + card.name + "-ask.html" }, "Decide as you read", unseen()), " ");
    ways.append(make("a", { href: "cases/" + card.name + ".html" }, "Read straight through", unseen()));
    item.append(ways);
    return item;
  }

  /** What was searched besides the words as typed, and what no case has. */
  function notes(found) {
    const out = [];
    const { query } = found;
    const others = [...new Set([].concat(...query.named.map((run) => run.concepts.map(({ label }) => label))))];
    const toggle = (label, plain) => {
      const button = make("button", { type: "button", class: "quiet" }, label);
      button.addEventListener("click", () => change({ plain }, true).then(() => field.focus()));
      return button;
    };
    if (state.plain) out.push(make("p", null, "Searched for the words alone. ", toggle("Search other names too", false)));
    else if (others.length) out.push(make("p", null, "Also searched: every name of ", make("b", null, others.join(", ")), ". ", toggle("Only these words", true)));
    for (const { word, alternatives } of query.units) {
      const mended = alternatives.filter((it) => it.mended).map((it) => it.mended);
      if (mended.length) out.push(make("p", null, "No case has “" + word + "”. Searched for ", make("b", null, mended.join(", ")), "."));
      else if (!alternatives.length && !query.named.some((run) => query.units.slice(run.from, run.from + run.words).some((unit) => unit.word === word))) {
        out.push(make("p", null, "No case has “" + word + "” or anything near it."));
      }
    }
    if (query.loose) out.push(make("p", null, "Some words of the phrase stand in too few cases to know whether they stand side by side; these cases have all of them."));
    at("_notes").replaceChildren(...out);
  }

  function summary(found) {
    if (found.all === 0) return "No case fits." + (state.chosen.length ? " Fewer filters or other words may help." : "");
    if (!found.query.units.length) return cases(found.all) + " with all that is chosen.";
    if (found.whole === 0) return "No case has all the words. " + cases(found.all) + " with some of them.";
    const more = found.all - found.whole;
    return cases(found.whole) + " with all the words" + (more ? ", " + more + " more with some of them" : "") + ".";
  }

  /** Shows the answer to what is asked now; an answer that comes late is thrown away. */
  async function show() {
    const turn = (latest += 1);
    const asked = state.typed.trim() !== "" || state.chosen.length > 0;
    page.hidden = !asked;
    at("_terms").hidden = asked;
    if (!asked) {
      say("");
      at("_notes").replaceChildren();
      at("_found").replaceChildren();
      return;
    }
    page.setAttribute("data-state", "busy");
    try {
      const values = await engine.values();
      const choice = [];
      values.forEach((_, value) => { if (state.chosen.includes(nameOf(value, values))) choice.push(value); });
      const found = await engine.answer({ typed: state.typed, plain: state.plain, choice, most: state.most });
      const cards = await Promise.all(found.hits.map((hit) => engine.card(hit.document)));
      if (turn !== latest) return;
      const marks = engine.marks(found.query);
      const items = cards.map((card, place) => result(card, values, marks, found.query, found.hits[place].whole ? [] : found.lacks(found.hits[place].document)));
      const cut = found.hits.findIndex((hit) => !hit.whole);
      if (cut > 0) items[cut].classList.add("fewer");
      at("_found").replaceChildren(...items);
      at("_more").hidden = found.all <= found.hits.length;
      notes(found);
      say(summary(found));
      page.setAttribute("data-state", "done");
      await panels(found, values, turn);
    } catch (fault) {
      if (turn === latest) broken(fault);
    }
  }

  // ---- Filters ----

  const open = new Set(), wide = new Set();

  async function panels(found, values, turn) {
    const shown = about.groups.map(async (group, number) => {
      const chosen = state.chosen.filter((it) => it.startsWith(group.name + "="));
      const isOpen = open.has(group.name) || chosen.length > 0;
      const panel = at("_filter_" + group.name);
      if (!isOpen) return () => panel.querySelector("ul").replaceChildren();
      const quiet = state.hidden && group.telling;
      const counts = quiet ? null : await engine.counts(found, number);
      return () => fill(panel, group, values, counts);
    });
    const ready = await Promise.all(shown);
    if (turn === latest) ready.forEach((fillNow) => fillNow());
  }

  function fill(panel, group, values, counts) {
    const focused = document.activeElement && panel.contains(document.activeElement) ? document.activeElement.value : null;
    let rows = values.slice(group.first, group.first + group.size).map((value, place) => ({
      ...value, key: group.name + "=" + value.name, count: counts ? counts[place] : null, chosen: state.chosen.includes(group.name + "=" + value.name),
    }));
    // Without counts nothing may tell which values the results have: all are there, in order of the alphabet.
    if (counts) rows = rows.filter((row) => row.chosen || row.count > 0).sort((one, other) => other.chosen - one.chosen || other.count - one.count || (one.label < other.label ? -1 : 1));
    const few = wide.has(group.name) ? rows : rows.filter((row, place) => row.chosen || place < FEW);
    const items = few.map((row) => {
      const box = make("input", { type: "checkbox", value: row.key });
      box.checked = row.chosen;
      box.addEventListener("change", () => change({ chosen: box.checked ? [...state.chosen, row.key] : state.chosen.filter((it) => it !== row.key) }, true));
      const label = make("label", null, box, " ", make("span", null, row.label));
      if (row.count !== null) label.append(" ", make("span", { class: "count" }, make("span", { class: "unseen" }, ", "), String(row.count), make("span", { class: "unseen" }, row.count === 1 ? " case" : " cases")));
      return make("li", null, label);
    });
    if (!items.length) items.push(make("li", { class: "line" }, "None in these results."));
    if (few.length < rows.length) {
      const button = make("button", { type: "button", class: "quiet", value: "more" }, "All " + rows.length);
      button.addEventListener("click", () => {
        wide.add(group.name);
        show().then(() => panel.querySelectorAll("input")[FEW].focus());
      });
      items.push(make("li", null, button));
    }
    panel.querySelector("ul").replaceChildren(...items);
    panel.open = true;
    if (focused !== null) {
      const again = [...panel.querySelectorAll("input, button")].find((it) => it.value === focused);
      if (again) again.focus();
    }
  }

  function layOut() {
    at("_filters").replaceChildren(...about.groups.map((group) => {
      const panel = make("details", { id: "_filter_" + group.name }, make("summary", null, group.label), make("ul", { class: "plain" }));
      panel.addEventListener("toggle", () => {
        if (panel.open === open.has(group.name)) return;
        if (panel.open) {
          open.add(group.name);
          if (!panel.querySelector("li")) show();
        } else open.delete(group.name);
      });
      return panel;
    }));
  }

  // ---- Hands ----

  let pause = 0;
  field.addEventListener("input", () => {
    clearTimeout(pause);
    pause = setTimeout(() => engine && change({ typed: field.value }, false), PAUSE);
  });
  form.addEventListener("submit", (event) => {
    if (!engine) return;
    event.preventDefault();
    clearTimeout(pause);
    change({ typed: field.value }, true);
  });
  hide.addEventListener("change", () => engine && change({ hidden: hide.checked }, true));
  at("_more").addEventListener("click", () => {
    const before = state.most;
    change({ most: before + STEP }, false).then(() => {
      const next = at("_found").children[before];
      if (next) next.querySelector("a").focus();
    });
  });
  window.addEventListener("popstate", () => engine && restore());
  // From the field down into the results and up again; each result has one stop that the arrow keys reach.
  document.addEventListener("keydown", (event) => {
    if (event.key !== "ArrowDown" && event.key !== "ArrowUp") return;
    const stops = [field, ...[...at("_found").children].map((item) => item.querySelector("a"))];
    const here = stops.indexOf(document.activeElement);
    const next = stops[here + (event.key === "ArrowDown" ? 1 : -1)];
    if (here < 0 || !next) return;
    event.preventDefault();
    next.focus();
  });
})();
