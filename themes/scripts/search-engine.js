// The search itself: it loads the parts of the index that a query needs and answers in whole numbers, as the program
// does in the terminal. `load(key)` gives a promise of a part: text, or numbers as base64.
casewright.engine = function (load) {
  "use strict";
  const words = casewright.words;

  // Weights of the ways in which a word may be found.
  const EXACT = 8, CONCEPT = 7, BEGUN = 6, ONE_SLIP = 4, TWO_SLIPS = 2;
  const MOST_WORDS = 120, MOST_PHRASES = 4, MOST_PHRASE_WORDS = 24, BEGUN_LETTERS = 3, BEGUN_WAYS = 8, SHORTEST_STEM = 4, BEYOND = 6;
  const MENDED_LETTERS = 4, TWO_SLIPS_LETTERS = 8, MENDED_WAYS = 3, EASE = 37, TWICE = 8;
  const LEVELS = 31, SEEDS = 10, OWN = 75, WHOLE = 2;
  // Parts that are kept in memory.
  const KEPT = 400;

  const DIGIT = new Uint8Array(128);
  [..."ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"].forEach((digit, at) => { DIGIT[digit.charCodeAt(0)] = at; });

  /** Letters of eight bits as bytes. */
  function eightBits(letters) {
    const bytes = new Uint8Array(letters.length);
    for (let at = 0; at < bytes.length; at += 1) bytes[at] = letters.charCodeAt(at);
    return bytes;
  }

  const bytesOf = (text) => eightBits(atob(text));

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
  function front(text, each) {
    // Letters of eight bits: most words have none but those of seven, and are words as they are.
    const letters = atob(text), bytes = eightBits(letters);
    let at = 0, last = "";
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
      last = last.slice(0, shared) + letters.slice(at, at + more);
      at += more;
      each(/[^\x00-\x7f]/.test(last) ? UTF8.decode(Uint8Array.from(last, (letter) => letter.charCodeAt(0))) : last, reader);
    }
    return bytes;
  }

  const dictionary = (shard) => part("d/" + shard, (text) => {
    const dict = { bytes: null, terms: [], documents: [], keys: [], places: [] };
    let block = 0, filled = 0;
    dict.bytes = front(text, (term, reader) => {
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
    front(text, (word, reader) => list.push({ word, often: reader.byte() }));
    return list;
  });

  const calls = (shard) => part("c/" + shard, (text) => new Map(text.split("\n").map((line) => {
    const [key, ...rest] = line.split("\t"), concepts = [];
    for (let at = 0; at < rest.length; at += 2) concepts.push({ number: Number(rest[at]), label: rest[at + 1] });
    return [key, concepts];
  })));

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

  // Documents of one level, as they are unpacked. There is one such room, for as many as there are.
  let batch = null;

  /** Unpacks a list, which begins at a byte: `each` is told a level and how many documents that have it stand in `batch`. */
  function unpack(bytes, from, each) {
    // Bits that were read and not yet used, lowest first, and their number: 24 to 31 before any are taken.
    let at = from, bits = 0, many = 0;
    const low = (width) => {
      for (; many < 24; many += 8) bits |= bytes[at++] << many;
      const value = bits & ((1 << width) - 1);
      bits >>>= width;
      many -= width;
      return value;
    };
    const gamma = () => {
      let width = 0;
      while (low(1)) width += 1;
      return ((1 << width) | low(width)) - 1;
    };
    let level = LEVELS + 1;
    for (let groups = gamma() + 1; groups > 0; groups -= 1) {
      level -= gamma() + 1;
      const size = gamma() + 1, width = low(4), mask = (1 << width) - 1;
      // The same in variables of this stretch alone: nearly all time is spent here.
      let next = at, left = bits, has = many, document = 0;
      for (let place = 0; place < size; place += 1) {
        for (;;) {
          for (; has < 24; has += 8) left |= bytes[next++] << has;
          const zero = ~left, ones = 31 - Math.clz32(zero & -zero);
          document += (ones < has ? ones : has) << width;
          if (ones < has) {
            left >>>= ones + 1;
            has -= ones + 1;
            break;
          }
          left = has = 0;
        }
        for (; has < 24; has += 8) left |= bytes[next++] << has;
        document += left & mask;
        left >>>= width;
        has -= width;
        batch[place] = document;
        document += 1;
      }
      at = next;
      bits = left;
      many = has;
      each(level, size);
    }
  }

  /** A term's place in the index, or null. */
  async function find(term) {
    const dict = await dictionary(shardOf(about.firsts, term));
    const at = lower(dict.terms, term);
    return dict.terms[at] === term ? { dict, at } : null;
  }

  // ---- What was typed ----

  function slips(one, other, most) {
    // What both begin and end with is no slip; after that most words are seen to be too far.
    let from = 0, end = 0;
    while (from < one.length && one[from] === other[from]) from += 1;
    while (end < Math.min(one.length, other.length) - from && one[one.length - 1 - end] === other[other.length - 1 - end]) end += 1;
    one = one.slice(from, one.length - end);
    other = other.slice(from, other.length - end);
    const longer = Math.max(one.length, other.length);
    if (!one || !other || longer === 1) return longer;
    if (most === 1) return longer === 2 && one[0] === other[1] && one[1] === other[0] ? 1 : 2;
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
    if (typed.length === meant.length) return apart === 2 ? EASE : 0;
    const longer = typed.length < meant.length ? meant : typed;
    let at = 0;
    while (at < typed.length && typed[at] === meant[at]) at += 1;
    return (longer === meant ? EASE : 0) + (at > 0 && longer[at - 1] === longer[at] ? TWICE : 0);
  }

  /** The words at the least distance, likeliest first. */
  function nearest(among, ways, most) {
    let best = [];
    for (const spelling of among) {
      let likely = -1;
      for (const word of ways) {
        if (Math.abs(spelling.word.length - word.length) > most) continue;
        const far = slips(word, spelling.word, most);
        if (far > most) continue;
        if (far < most) {
          best = best.filter((it) => it.far <= far);
          likely = -1;
        }
        most = far;
        likely = Math.max(likely, spelling.often + (far === 1 ? ease(word, spelling.word) : 0));
      }
      if (likely >= 0) best.push({ far: most, likely, spelling });
    }
    best.sort((one, other) => other.likely - one.likely || compare(one.spelling.word, other.spelling.word));
    return best.slice(0, MENDED_WAYS);
  }

  async function mended(word, most, hereOnly) {
    if (word.length < MENDED_LETTERS || !/^[a-z]+$/.test(word)) return [];
    most = Math.min(most, word.length < TWO_SLIPS_LETTERS ? 1 : 2);
    const ways = [...new Set([word, words.american(word)])];
    const among = async (letters) => nearest([].concat(...await Promise.all(letters.map(lexicon))), ways, most);
    let near = await among([...about.letters].filter((letter) => word.slice(0, 2).includes(letter)));
    if (!hereOnly && near.every(({ far }) => far > 1)) near = await among([...about.letters]);
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
    if (wide && !found.length && letters > MENDED_LETTERS) found = await mended(word, 1, true);
    if (wide && !found.length && /^[\x00-\x7f]*$/.test(begun)) {
      for (let end = letters - 1; end >= Math.max(SHORTEST_STEM, letters - BEYOND) && !found.length; end -= 1) {
        const stem = begun.slice(0, end), place = await find(stem);
        if (place) found.push({ term: stem, weight: BEGUN, begun: true, place });
      }
    }
    return found.length ? found : mended(word, 2, false);
  }

  /** The commonest terms that begin so. */
  async function beginning(start, except) {
    const from = shardOf(about.firsts, start), to = shardOf(about.firsts, start + "\u{10ffff}");
    const shards = [];
    for (let shard = from; shard <= to; shard += 1) shards.push(dictionary(shard));
    const ways = [];
    for (const dict of await Promise.all(shards)) {
      for (let at = lower(dict.terms, start); at < dict.terms.length && dict.terms[at].startsWith(start); at += 1) {
        const often = dict.documents[at], full = ways.length === BEGUN_WAYS;
        if (dict.terms[at] === except || (full && often <= ways[BEGUN_WAYS - 1].often)) continue;
        if (full) ways.pop();
        // Of equals the first comes first.
        let before = ways.length;
        while (before > 0 && ways[before - 1].often < often) before -= 1;
        ways.splice(before, 0, { term: dict.terms[at], weight: BEGUN, begun: true, often, place: { dict, at } });
      }
    }
    return ways;
  }

  /** Whether a word may begin a name: of those that do not, a few pass. */
  function begins(word) {
    const size = about.sieve.length * 8;
    return [0, 1, 2].every((way) => {
      let hash = 0x811c9dc5 ^ way;
      for (let at = 0; at < word.length; at += 1) hash = Math.imul(hash ^ word.charCodeAt(at), 0x01000193);
      const bit = (hash >>> 0) % size;
      return about.sieve[bit >> 3] & (1 << (bit & 7));
    });
  }

  /** Runs of words that name concepts, the longest from each word on. */
  async function named(stems) {
    const found = [];
    const shards = new Set();
    for (const stem of stems) {
      if (!begins(stem)) continue;
      for (let shard = shardOf(about.calls, stem), to = shardOf(about.calls, stem + "!"); shard <= to; shard += 1) shards.add(shard);
    }
    const known = await Promise.all([...shards].map(calls));
    for (let at = 0; at < stems.length;) {
      let run = null;
      for (let size = 1; size <= Math.min(about.longest, stems.length - at); size += 1) {
        const key = stems.slice(at, at + size).join(" "), holder = known.find((list) => list.has(key));
        if (holder) run = { from: at, words: size, concepts: holder.get(key) };
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

  // What goes through every document stands in functions of its own, which a browser makes fast after a few calls.

  /** Takes what the documents of one level are worth, where they had less. Gives how many of `reached` had anything. */
  function lift(had, many, worth) {
    for (let at = 0; at < many; at += 1) {
      const document = batch[at];
      if (best[document] === 0) reached[had++] = document;
      if (worth > best[document]) best[document] = worth;
    }
    return had;
  }

  /** Adds what one word is worth, and leaves nothing of it behind. `bits` tells that a document has it. */
  function add(had, sum, has, held, bits) {
    for (let at = 0; at < had; at += 1) {
      const document = reached[at];
      sum[document] += best[document];
      has[document] += 1;
      held[document] |= bits;
      best[document] = 0;
    }
  }

  /** Adds a name of so many words: what its words are worth or, where that is more, the concept. */
  function addNamed(sum, has, count, score, matched, held, bits) {
    for (let document = 0; document < best.length; document += 1) {
      if (best[document] > 0) {
        if (best[document] > sum[document]) sum[document] = best[document];
        has[document] = count;
        held[document] |= bits;
        best[document] = 0;
      }
      score[document] += sum[document];
      matched[document] += has[document];
    }
  }

  // What one word is worth to each document, and the documents to which it is worth anything: nothing once it is added.
  let best = null, reached = null;

  /** What the words add up to. `open` unpacks a place. */
  function sums(query, open) {
    const size = about.documents;
    const score = new Uint32Array(size), matched = new Uint8Array(size);
    // A bit for each of the first words that a document has: the page tells which are lacking.
    const held = new Uint32Array(size), bit = (at) => (at < 32 ? 1 << at : 0);
    let wanted = 0;
    const take = (ways) => {
      let had = 0;
      for (const { place, weight } of ways) {
        if (place) open(place, (level, many) => { had = lift(had, many, weight * level); });
      }
      return had;
    };
    for (let at = 0; at < query.units.length;) {
      const named = query.named.find(({ from }) => from === at);
      const count = named ? named.words : 1;
      const units = query.units.slice(at, at + count);
      wanted += named ? count : units.filter((unit) => unit.alternatives.length).length;
      const sum = named ? new Uint32Array(size) : score, has = named ? new Uint8Array(size) : matched;
      let bits = 0;
      for (const { alternatives } of units) {
        add(take(alternatives), sum, has, held, bit(at));
        bits |= bit(at);
        at += 1;
      }
      if (named) {
        take(named.places.map((place) => ({ place, weight: CONCEPT * count })));
        addNamed(sum, has, count, score, matched, held, bits);
      }
    }
    return { score, matched, wanted, held };
  }

  /** The best documents: those of the highest standing, then of the highest score, then the first. None without standing. */
  function order(standing, score, length) {
    const first = [];
    // What a document must have more than, once there are enough.
    let floor = 0, least = -1;
    for (let document = 0; document < score.length; document += 1) {
      const stands = standing[document], worth = score[document];
      if (stands === 0 || stands < floor || (stands === floor && worth <= least)) continue;
      let at = first.length;
      while (at > 0 && (first[at - 1].stands < stands || (first[at - 1].stands === stands && first[at - 1].score < worth))) at -= 1;
      first.splice(at, 0, { document, score: worth, stands, whole: stands === WHOLE });
      if (first.length > length) first.pop();
      if (first.length === length) [floor, least] = [first[length - 1].stands, first[length - 1].score];
    }
    return first;
  }

  /** Every list is asked for at once, so that none waits for another; gives what unpacks a place. */
  async function opener(places) {
    const keys = new Set(places.filter(Boolean).map(({ dict, at }) => dict.keys[at]).filter(Boolean));
    const loaded = new Map(await Promise.all([...keys].map(async (key) => [key, await part(key, bytesOf)])));
    return ({ dict, at }, each) => unpack(loaded.get(dict.keys[at]) || dict.bytes, dict.places[at], each);
  }

  /** The best `most` documents for what was typed, among those that have every value of `choice`. */
  async function answer({ typed, plain = false, choice = [], most = 10 }) {
    const query = await read(typed, plain);
    const needed = await Promise.all([].concat(...query.phrases).map(find));
    const open = await opener([...needed, ...[].concat(...query.units.map((unit) => unit.alternatives.map(({ place }) => place)), ...query.named.map((run) => run.places))]);
    const groups = await Promise.all(choice.map(async (value) => {
      const group = about.groups.findIndex((it) => value >= it.first && value < it.first + it.size);
      return (await lists(group))[value - about.groups[group].first];
    }));
    const size = about.documents;
    const standing = new Uint8Array(size).fill(1);
    const only = (fill) => {
      const has = new Uint8Array(size);
      fill((_, many) => { for (let at = 0; at < many; at += 1) has[batch[at]] = 1; });
      for (let document = 0; document < size; document += 1) standing[document] &= has[document];
    };
    for (const bytes of groups) only((each) => bytes && unpack(bytes, 0, each));
    for (const place of needed) only((each) => place && open(place, each));
    const { score, matched, wanted, held } = sums(query, open);
    const asked = query.units.length > 0;
    let all = 0, withAll = 0;
    // From here on how each document stands: not among them, some of the words, all of them.
    for (let document = 0; document < size; document += 1) {
      if (asked && matched[document] === 0) standing[document] = 0;
      if (standing[document] === 0) continue;
      all += 1;
      if (asked && (wanted === 0 || matched[document] !== wanted)) continue;
      withAll += 1;
      standing[document] = WHOLE;
    }
    if (about.near && asked) {
      const seeds = order(standing, score, SEEDS), own = seeds.map((seed) => seed.score);
      const cards = await Promise.all(seeds.map((seed) => card(seed.document)));
      for (let document = 0; document < size; document += 1) score[document] *= OWN;
      cards.forEach(({ near }, at) => near.forEach(([document, likeness]) => { score[document] += likeness * own[at]; }));
    }
    const lacks = (document) => query.units.filter((unit, at) => at < 32 && unit.alternatives.length && !((held[document] >> at) & 1)).map(({ word }) => word);
    return { query, lacks, hits: order(standing, score, most), whole: withAll, all, counted: (document) => standing[document] >= (withAll === 0 ? 1 : WHOLE) };
  }

  /** For each value of a group how many documents of an answer have it. */
  async function counts(found, group) {
    return (await lists(group)).map((bytes) => {
      let count = 0;
      if (bytes) unpack(bytes, 0, (_, many) => { for (let at = 0; at < many; at += 1) if (found.counted(batch[at])) count += 1; });
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
    about = { ...told, firsts: lines(told.firsts), calls: lines(told.calls), sieve: bytesOf(told.sieve) };
    about.groups = told.groups.map(([name, label, telling, first, size]) => ({ name, label, telling: telling === 1, first, size }));
    words.learn(told.forms.split(" "));
    [batch, best, reached] = [0, 0, 0].map(() => new Uint32Array(about.documents));
    return about;
  });

  return { start, answer, counts, values, card, marks };
};
