// The search itself: it loads the parts of the index that a query needs and answers in whole numbers, as the program
// does in the terminal. `load(key)` gives a promise of a part: text, or numbers as base64.
casewright.engine = function (load) {
  "use strict";
  const words = casewright.words;

  // Weights of the ways in which a word may be found.
  const EXACT = 8, CONCEPT = 7, BEGUN = 6, ONE_SLIP = 4, TWO_SLIPS = 2;
  const MOST_WORDS = 120, MOST_PHRASES = 4, MOST_PHRASE_WORDS = 24, BEGUN_LETTERS = 3, BEGUN_WAYS = 8, SHORTEST_STEM = 4, BEYOND = 6;
  const MENDED_LETTERS = 4, TWO_SLIPS_LETTERS = 8, MENDED_WAYS = 3, EASE = 4;
  const LEVELS = 31, SEEDS = 10, OWN = 75;
  // Parts that are kept in memory.
  const KEPT = 400;

  const DIGIT = new Uint8Array(128);
  [..."ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"].forEach((digit, at) => { DIGIT[digit.charCodeAt(0)] = at; });

  function bytesOf(text) {
    const size = (text.length / 4) * 3 - (text.endsWith("==") ? 2 : text.endsWith("=") ? 1 : 0);
    const bytes = new Uint8Array(size);
    for (let from = 0, to = 0; from < text.length; from += 4) {
      const bits = (DIGIT[text.charCodeAt(from)] << 18) | (DIGIT[text.charCodeAt(from + 1)] << 12) |
        (DIGIT[text.charCodeAt(from + 2)] << 6) | DIGIT[text.charCodeAt(from + 3)];
      for (let shift = 16; shift >= 0 && to < size; shift -= 8) bytes[to++] = (bits >> shift) & 255;
    }
    return bytes;
  }

  /** Compares in the order of UTF-8 bytes, which is that of code points. */
  function compare(one, other) {
    const least = Math.min(one.length, other.length);
    for (let at = 0; at < least; at += 1) {
      let a = one.charCodeAt(at), b = other.charCodeAt(at);
      if (a === b) continue;
      // Halves of a pair stand for code points above all others.
      if (a >= 0xd800 && b >= 0xd800) {
        a = a >= 0xe000 ? a - 0x800 : a + 0x2000;
        b = b >= 0xe000 ? b - 0x800 : b + 0x2000;
      }
      return a - b;
    }
    return one.length - other.length;
  }

  /** The first place of an ordered list that is not below a term. */
  function lower(list, term) {
    let from = 0, to = list.length;
    while (from < to) {
      const middle = (from + to) >> 1;
      if (compare(list[middle], term) < 0) from = middle + 1;
      else to = middle;
    }
    return from;
  }

  /** The shard that holds a term, by the first terms of all. */
  function shardOf(firsts, term) {
    const at = lower(firsts, term);
    return firsts[at] === term ? at : Math.max(0, at - 1);
  }

  // ---- Parts ----

  const kept = new Map();

  /** A part, read once however many words ask for it at the same time. */
  function part(key, read) {
    let found = kept.get(key);
    if (!found) {
      found = load(key).then(read);
      found.catch(() => kept.delete(key));
      if (kept.size >= KEPT) kept.delete(kept.keys().next().value);
    } else kept.delete(key);
    kept.set(key, found);
    return found;
  }

  const UTF8 = new TextDecoder();

  /** Reads words of which each is told by what it does not share with the one before; `each` reads what follows a word. */
  function front(bytes, each) {
    let at = 0, last = new Uint8Array(1024);
    const reader = {
      byte: () => bytes[at++],
      number() {
        let value = 0, shift = 0, byte;
        do {
          byte = bytes[at++];
          value |= (byte & 127) << shift;
          shift += 7;
        } while (byte > 127);
        return value;
      },
      skip(size) {
        at += size;
        return at - size;
      },
    };
    while (at < bytes.length) {
      const head = bytes[at++], shared = head >> 4;
      let more = head & 15;
      if (more === 15) more += reader.number();
      last.set(bytes.subarray(at, at + more), shared);
      at += more;
      each(UTF8.decode(last.subarray(0, shared + more)), reader);
    }
  }

  const dictionary = (shard) => part("d/" + shard, (text) => {
    const bytes = bytesOf(text), dict = { bytes, terms: [], documents: [], keys: [], places: [] };
    let block = 0, filled = 0;
    front(bytes, (term, reader) => {
      dict.terms.push(term);
      dict.documents.push(reader.number());
      const size = reader.number(), length = size >> 1;
      if (size & 1) {
        dict.keys.push("");
        dict.places.push(reader.skip(length));
        return;
      }
      if (filled > 0 && filled + length > about.block) {
        block += 1;
        filled = 0;
      }
      dict.keys.push("p/" + shard + "-" + block);
      dict.places.push(filled);
      filled += length;
    });
    return dict;
  });

  const lexicon = (letter) => part("l/" + letter, (text) => {
    const list = [];
    front(bytesOf(text), (word, reader) => list.push({ word, often: reader.byte() }));
    return list;
  });

  const calls = (shard) => part("c/" + shard, (text) => text.split("\n").map((line) => {
    const [key, ...rest] = line.split("\t"), concepts = [];
    for (let at = 0; at < rest.length; at += 2) concepts.push({ number: Number(rest[at]), label: rest[at + 1] });
    return { key, concepts };
  }));

  const values = () => part("v", (text) => (text ? text.split("\n") : []).map((line) => {
    const [name, label, count] = line.split("\t");
    return { name, label, count: Number(count) };
  }));

  /** The documents of each value of a group, packed. */
  const lists = (group) => part("f/" + group, (text) => {
    const bytes = bytesOf(text), found = [];
    for (let at = 0; at < bytes.length;) {
      let size = 0, shift = 0, byte;
      do {
        byte = bytes[at++];
        size |= (byte & 127) << shift;
        shift += 7;
      } while (byte > 127);
      found.push(size ? bytes.subarray(at, at + size) : null);
      at += size;
    }
    return found;
  });

  function digits(text) {
    const numbers = [];
    for (let at = 0, value = 0, shift = 0; at < text.length; at += 1) {
      const digit = DIGIT[text.charCodeAt(at)];
      value |= (digit & 31) << shift;
      shift += 5;
      if (digit < 32) {
        numbers.push(value);
        value = shift = 0;
      }
    }
    return numbers;
  }

  const cardsOf = (block) => part("m/" + block, (text) => text.split("\n").map((line) => {
    const [name, title, askTitle, lessons, stated, near] = line.split("\t");
    let last = 0;
    const card = { name: name.replace("?", ""), asks: name.endsWith("?"), title, askTitle, lessons: lessons ? lessons.split("¶") : [], near: [] };
    card.stated = digits(stated).map((step) => (last += step));
    last = 0;
    const steps = digits(near);
    for (let at = 0; at < steps.length; at += 2) card.near.push([(last += steps[at]), steps[at + 1]]);
    return card;
  }));

  const card = (document) => cardsOf(Math.floor(document / about.cards)).then((list) => list[document % about.cards]);

  // ---- Lists ----

  /** Calls `each` with every document of a packed list, which begins at a byte, and its level. */
  function unpack(bytes, from, each) {
    let at = from * 8;
    const bit = () => {
      const found = (bytes[at >> 3] >> (at & 7)) & 1;
      at += 1;
      return found;
    };
    const low = (width) => {
      let value = 0;
      for (let place = 0; place < width; place += 1, at += 1) value |= ((bytes[at >> 3] >> (at & 7)) & 1) << place;
      return value;
    };
    const gamma = () => {
      let width = 0;
      while (bit()) width += 1;
      return ((1 << width) | low(width)) - 1;
    };
    let level = LEVELS + 1;
    for (let groups = gamma() + 1; groups > 0; groups -= 1) {
      level -= gamma() + 1;
      let left = gamma() + 1, document = 0;
      const width = low(4);
      for (; left > 0; left -= 1) {
        let high = 0;
        while ((bytes[at >> 3] >> (at & 7)) & 1) {
          high += 1;
          at += 1;
        }
        at += 1;
        document += (high << width) | low(width);
        each(document, level);
        document += 1;
      }
    }
  }

  /** A term's place in the index, or null. */
  async function find(term) {
    const dict = await dictionary(shardOf(about.firsts, term));
    const at = lower(dict.terms, term);
    return dict.terms[at] === term ? { dict, at } : null;
  }

  /** Calls `each` with the documents of a place; its list must have been loaded. */
  async function documents({ dict, at }, each) {
    const bytes = dict.keys[at] === "" ? dict.bytes : await part(dict.keys[at], bytesOf);
    unpack(bytes, dict.places[at], each);
  }

  // ---- What was typed ----

  function slips(one, other, most) {
    let before = [], last = [];
    for (let at = 0; at <= other.length; at += 1) last.push(at);
    for (let row = 1, above = 0; row <= one.length; row += 1) {
      const current = [row];
      let least = row;
      for (let at = 1; at <= other.length; at += 1) {
        let best = Math.min(last[at - 1] + (one[row - 1] === other[at - 1] ? 0 : 1), last[at] + 1, current[at - 1] + 1);
        if (row > 1 && at > 1 && one[row - 1] === other[at - 2] && one[row - 2] === other[at - 1]) best = Math.min(best, before[at - 2] + 1);
        current.push(best);
        if (best < least) least = best;
      }
      if (least > most && above > most) return most + 1;
      above = least;
      before = last;
      last = current;
    }
    return last[other.length];
  }

  /** How much easier this one slip happens than one that puts a letter there. */
  function ease(typed, meant) {
    let apart = 0;
    for (let at = 0; at < typed.length; at += 1) if (typed[at] !== meant[at]) apart += 1;
    return typed.length < meant.length || (typed.length === meant.length && apart === 2) ? EASE : 0;
  }

  /** The words at the least distance, likeliest first. */
  function nearest(among, word, most) {
    let best = [];
    for (const spelling of among) {
      if (Math.abs(spelling.word.length - word.length) > most) continue;
      const far = slips(word, spelling.word, most);
      if (far > most) continue;
      if (far < most) best = best.filter((it) => it.far <= far);
      most = far;
      best.push({ far, spelling });
    }
    const likely = ({ far, spelling }) => spelling.often + (far === 1 ? ease(word, spelling.word) : 0);
    best.sort((one, other) => likely(other) - likely(one) || compare(one.spelling.word, other.spelling.word));
    return best.slice(0, MENDED_WAYS);
  }

  async function mended(word, most, hereOnly) {
    if (word.length < MENDED_LETTERS || !/^[a-z]+$/.test(word)) return [];
    most = Math.min(most, word.length < TWO_SLIPS_LETTERS ? 1 : 2);
    let near = about.letters.includes(word[0]) ? nearest(await lexicon(word[0]), word, most) : [];
    if (!near.length && !hereOnly) {
      const all = await Promise.all([...about.letters].map(lexicon));
      near = nearest([].concat(...all), word, most);
    }
    const found = near.map(async ({ far, spelling }) => {
      const term = words.term(spelling.word);
      return { term, weight: far === 1 ? ONE_SLIP : TWO_SLIPS, mended: spelling.word, place: await find(term) };
    });
    return Promise.all(found);
  }

  async function alternatives(word, term, open) {
    const begun = words.american(word), letters = [...begun].length;
    const wide = open && letters >= BEGUN_LETTERS;
    const [exact, ways] = await Promise.all([find(term), wide ? beginning(begun, term) : []]);
    let found = exact ? [{ term, weight: EXACT, place: exact }] : [];
    found.push(...ways);
    if (wide && !found.length && letters > MENDED_LETTERS) found = await mended(begun, 1, true);
    if (wide && !found.length && /^[\x00-\x7f]*$/.test(begun)) {
      for (let end = letters - 1; end >= Math.max(SHORTEST_STEM, letters - BEYOND) && !found.length; end -= 1) {
        const stem = begun.slice(0, end), place = await find(stem);
        if (place) found.push({ term: stem, weight: BEGUN, begun: true, place });
      }
    }
    return found.length ? found : mended(begun, 2, false);
  }

  /** The commonest terms that begin so. */
  async function beginning(start, except) {
    const from = shardOf(about.firsts, start), to = shardOf(about.firsts, start + "\u{10ffff}");
    const shards = [];
    for (let shard = from; shard <= to; shard += 1) shards.push(dictionary(shard));
    const ways = [];
    for (const dict of await Promise.all(shards)) {
      for (let at = lower(dict.terms, start); at < dict.terms.length && dict.terms[at].startsWith(start); at += 1) {
        if (dict.terms[at] !== except) ways.push({ term: dict.terms[at], weight: BEGUN, begun: true, place: { dict, at } });
      }
    }
    const often = (way) => way.place.dict.documents[way.place.at];
    ways.sort((one, other) => often(other) - often(one) || compare(one.term, other.term));
    return ways.slice(0, BEGUN_WAYS);
  }

  /** Runs of words that name concepts, the longest from each word on. */
  async function named(stems) {
    const found = [];
    const shards = new Set();
    for (const stem of stems) {
      if (!about.calls.length) return found;
      for (let shard = shardOf(about.calls, stem), to = shardOf(about.calls, stem + "!"); shard <= to; shard += 1) shards.add(shard);
    }
    const known = new Map();
    for (const list of await Promise.all([...shards].map(calls))) for (const call of list) known.set(call.key, call.concepts);
    const longest = Math.max(0, ...[...known.keys()].map((key) => key.split(" ").length));
    for (let at = 0; at < stems.length;) {
      let run = null;
      for (let size = 1; size <= Math.min(longest, stems.length - at); size += 1) {
        const concepts = known.get(stems.slice(at, at + size).join(" "));
        if (concepts) run = { from: at, words: size, concepts };
      }
      if (run) found.push(run);
      at += run ? run.words : 1;
    }
    for (const run of found) {
      run.places = await Promise.all(run.concepts.map((concept) => find("#" + concept.number)));
    }
    return found;
  }

  function split(typed) {
    const parts = typed.split(/["“”„]/);
    const inside = (at) => at % 2 === 1 && at + 1 < parts.length;
    return { outside: parts.filter((_, at) => !inside(at)), inside: parts.filter((_, at) => inside(at)) };
  }

  /** Reads what was typed. `plain` leaves concepts out. */
  async function read(typed, plain) {
    const { outside, inside } = split(typed);
    const last = [...outside[outside.length - 1]].pop();
    const isOpen = last !== undefined && words.letter.test(last);
    const list = [].concat(...outside.map(words.tokens)).slice(0, MOST_WORDS);
    const query = { units: [], named: [], phrases: [], loose: false };
    const kept = list.map((word, at) => ({ word, term: words.term(word), open: isOpen && at + 1 === list.length })).filter((it) => it.term !== null);
    const [units, runs] = await Promise.all([
      Promise.all(kept.map((it) => alternatives(it.word, it.term, it.open))),
      plain ? [] : named(kept.map((it) => it.term)),
    ]);
    query.units = kept.map(({ word }, at) => ({ word, alternatives: units[at] }));
    query.named = runs;
    // What the vocabulary knows is no slip.
    for (const run of runs) {
      for (const unit of query.units.slice(run.from, run.from + run.words)) unit.alternatives = unit.alternatives.filter((it) => !it.mended);
    }
    for (const phrase of inside.slice(0, MOST_PHRASES)) await addPhrase(query, words.tokens(phrase).slice(0, MOST_PHRASE_WORDS));
    return query;
  }

  async function addPhrase(query, list) {
    const stems = [];
    for (const word of list) {
      const term = words.term(word);
      if (term === null) continue;
      const place = await find(term);
      query.units.push({ word, alternatives: place ? [{ term, weight: EXACT, place }] : [] });
      stems.push(term);
    }
    if (!stems.length) return;
    const needed = [];
    for (let at = 0; at + 1 < stems.length; at += 1) {
      const pair = '"' + stems[at] + " " + stems[at + 1];
      if (about.pairs || (await find(pair))) needed.push(pair);
      else {
        query.loose = true;
        needed.push(stems[at], stems[at + 1]);
      }
    }
    query.phrases.push(needed.length ? needed : stems);
  }

  // ---- The answer ----

  /** What the words add up to. */
  async function sums(query) {
    const size = about.documents;
    const score = new Uint32Array(size), matched = new Uint8Array(size);
    const best = new Uint32Array(size), sum = new Uint32Array(size), has = new Uint8Array(size);
    // A bit for each of the first words that a document has: the page tells which are lacking.
    const held = new Uint32Array(size);
    let needed = 0;
    const take = async (place, weight) => {
      if (place) await documents(place, (document, level) => {
        if (weight * level > best[document]) best[document] = weight * level;
      });
    };
    for (let at = 0; at < query.units.length;) {
      const run = query.named.find(({ from }) => from === at);
      const count = run ? run.words : 1;
      const units = query.units.slice(at, at + count);
      needed += run ? count : units.filter((unit) => unit.alternatives.length).length;
      sum.fill(0);
      has.fill(0);
      for (const [place, unit] of units.entries()) {
        if (!unit.alternatives.length) continue;
        best.fill(0);
        for (const { place, weight } of unit.alternatives) await take(place, weight);
        for (let document = 0; document < size; document += 1) {
          if (best[document]) {
            sum[document] += best[document];
            has[document] += 1;
            if (at + place < 32) held[document] |= 1 << (at + place);
          }
        }
      }
      if (run) {
        best.fill(0);
        for (const place of run.places) await take(place, CONCEPT * count);
        for (let document = 0; document < size; document += 1) {
          if (best[document]) {
            if (best[document] > sum[document]) sum[document] = best[document];
            has[document] = count;
            for (let place = at; place < Math.min(32, at + count); place += 1) held[document] |= 1 << place;
          }
        }
      }
      for (let document = 0; document < size; document += 1) {
        score[document] += sum[document];
        matched[document] += has[document];
      }
      at += count;
    }
    return { score, matched, needed, held };
  }

  /** Every list of a query is asked for at once, so that none waits for another. */
  function loadLists(query) {
    const places = [].concat(...query.units.map((unit) => unit.alternatives.map(({ place }) => place)), ...query.named.map((run) => run.places));
    const keys = places.filter((place) => place && place.dict.keys[place.at]).map((place) => place.dict.keys[place.at]);
    return Promise.all([...new Set(keys)].map((key) => part(key, bytesOf)));
  }

  /** The best `most` documents for what was typed, among those that have every value of `choice`. */
  async function answer({ typed, plain = false, choice = [], most = 10 }) {
    const query = await read(typed, plain);
    await loadLists(query);
    const size = about.documents;
    const allowed = new Uint8Array(size).fill(1);
    const only = async (fill) => {
      const has = new Uint8Array(size);
      await fill((document) => { has[document] = 1; });
      for (let document = 0; document < size; document += 1) allowed[document] &= has[document];
    };
    for (const value of choice) {
      const group = about.groups.findIndex((it) => value >= it.first && value < it.first + it.size);
      const bytes = (await lists(group))[value - about.groups[group].first];
      await only(async (each) => bytes && unpack(bytes, 0, each));
    }
    for (const term of [].concat(...query.phrases)) {
      const place = await find(term);
      await only(async (each) => place && documents(place, each));
    }
    const { score, matched, needed, held } = await sums(query);
    const asked = query.units.length > 0;
    const fits = (document) => allowed[document] && (!asked || matched[document] > 0);
    const whole = (document) => !asked || (needed > 0 && matched[document] === needed);
    const order = (length) => {
      // The least of the best stands last; most documents fall behind it at once.
      const best = [];
      const before = (one, other) => (one.whole !== other.whole ? one.whole : one.score !== other.score ? one.score > other.score : one.document < other.document);
      for (let document = 0; document < size; document += 1) {
        if (!fits(document)) continue;
        const hit = { document, score: score[document], whole: whole(document) };
        if (best.length === length && !before(hit, best[length - 1])) continue;
        let at = best.length;
        while (at > 0 && before(hit, best[at - 1])) at -= 1;
        best.splice(at, 0, hit);
        if (best.length > length) best.pop();
      }
      return best;
    };
    if (about.near && asked) {
      const seeds = order(SEEDS), own = seeds.map((seed) => seed.score);
      const cards = await Promise.all(seeds.map((seed) => card(seed.document)));
      for (let document = 0; document < size; document += 1) score[document] *= OWN;
      cards.forEach(({ near }, at) => near.forEach(([document, likeness]) => { score[document] += likeness * own[at]; }));
    }
    let all = 0, withAll = 0;
    for (let document = 0; document < size; document += 1) {
      if (!fits(document)) continue;
      all += 1;
      if (whole(document)) withAll += 1;
    }
    const lacks = (document) => query.units.filter((unit, at) => at < 32 && unit.alternatives.length && !((held[document] >> at) & 1)).map(({ word }) => word);
    return { query, lacks, hits: order(most), whole: withAll, all, counted: (document) => fits(document) && (withAll === 0 || whole(document)) };
  }

  /** For each value of a group how many documents of an answer have it. */
  async function counts(found, group) {
    return (await lists(group)).map((bytes) => {
      let count = 0;
      if (bytes) unpack(bytes, 0, (document) => { if (found.counted(document)) count += 1; });
      return count;
    });
  }

  /** Terms by which an answer's texts are marked. */
  function marks(query) {
    const found = new Set([].concat(...query.units.map((unit) => unit.alternatives.map(({ term }) => term))));
    for (const run of query.named) for (const { label } of run.concepts) for (const word of words.tokens(label)) found.add(words.term(word));
    found.delete(null);
    return found;
  }

  let about = null;
  /** Must be done before anything else. */
  const start = () => load("about").then((text) => {
    const told = typeof text === "string" ? JSON.parse(text) : text;
    const lines = (list) => (list ? list.split("\n") : []);
    about = { ...told, firsts: lines(told.firsts), calls: lines(told.calls) };
    about.groups = told.groups.map(([name, label, telling, first, size]) => ({ name, label, telling: telling === 1, first, size }));
    words.learn(told.forms.split(" "));
    return about;
  });

  return { start, answer, counts, values, card, marks };
};
