// The analyser of the search: the same words become the same terms here and in the program that made the index.
// In order: letters without marks in lower case, numbers kept whole, stop words left out, one spelling for British and
// American words, then Snowball's English stem (version 3), unless the index names another form for the word.
var casewright = {};

casewright.words = (function () {
  "use strict";

  const STOP = new Set(("a about above after again against all am an and any are as at be because been before being below between both " +
    "but by can could did do does doing don down during each few for from further had has have having he her here hers herself him " +
    "himself his how i if in into is it its itself just me more most my myself no nor not now of off on once or other ought our " +
    "ours ourselves out over own s same she should so some such t than that the their theirs them themselves then there these they " +
    "this those through to too under until up very was we were what when where which while who whom why will with would you your " +
    "yours yourself yourselves").split(" "));
  const LONGEST = 40;

  const pairs = (text) => text.split(" ").map((pair) => pair.split(":"));
  const LIGATURES = new Map(pairs("œ:oe Œ:OE æ:ae Æ:AE ø:o Ø:O ł:l Ł:L ß:ss ẞ:SS"));
  const GROUPS = pairs("oedem:edem oesoph:esoph oestr:estr foet:fet hoea:hea pnoe:pne amoeb:ameb homoeo:homeo coeli:celi sulph:sulf " +
    "rrhexis:rhexis manoeuv:maneuv centred:centered centring:centering");
  // British ending, American ending, how many letters must stand before.
  const ENDINGS = pairs("isations:izations:3 isation:ization:3 ising:izing:3 isers:izers:3 iser:izer:3 ised:ized:3 ises:izes:3 ise:ize:3 " +
    "ysing:yzing:3 ysed:yzed:3 yser:yzer:3 yse:yze:3 ouring:oring:3 ourless:orless:3 oured:ored:3 ours:ors:3 our:or:3 itred:itered:3 " +
    "uvred:uvered:3 tres:ters:2 tre:ter:2 bres:bers:2 bre:ber:2 vres:vers:2 vre:ver:2 ogues:ogs:3 ogue:og:3 grey:gray:0");

  /** The American spelling of a token. */
  function american(word) {
    if (word.length < 5 || !/^[a-z]+$/.test(word)) return word;
    for (const [british, other] of GROUPS) word = word.split(british).join(other);
    if (word.startsWith("leuco")) word = "leuko" + word.slice(5);
    if (word.endsWith("ae")) word = word.slice(0, -1);
    else {
      const from = word.startsWith("aer") ? 2 : 0;
      word = word.slice(0, from) + word.slice(from).split("ae").join("e");
    }
    for (const [british, other, least] of ENDINGS) {
      if (!word.endsWith(british) || word.length - british.length < least) continue;
      const stem = word.slice(0, -british.length);
      if (british.startsWith("is") && !/(?:.[lnmgh]|[^p]r|[aei]t|[ri]d)$/.test(stem)) break;
      return stem + other;
    }
    return word;
  }

  const letter = /[\p{Alphabetic}\p{N}]/u;
  const run = /[\p{Alphabetic}\p{N}]+/gu;
  const JOINTS = new Map(pairs("-:- −:- –:- /:/ ⁄:/ .:."));

  /** Text in lower case without marks. */
  function plain(text) {
    return text
      .replace(/[œŒæÆøØłŁßẞ]/g, (one) => LIGATURES.get(one))
      .normalize("NFKD")
      .replace(/\p{M}/gu, "")
      .toLowerCase()
      .replace(/\p{M}/gu, "")
      .replace(/ς/g, "σ");
  }

  /** The words of a text; a joined number (10-0, 6/24, 0.5) is one. */
  function tokens(text) {
    const out = [];
    const plainText = plain(text);
    let end = -1;
    for (const { 0: word, index } of plainText.matchAll(run)) {
      const joint = index === end + 1 ? JOINTS.get(plainText[end]) : undefined;
      if (joint && /[0-9]$/.test(out[out.length - 1]) && /^[0-9]/.test(word)) out[out.length - 1] += joint + word;
      else out.push(word);
      end = index + word.length;
    }
    return out;
  }

  const SPECIAL = new Map(pairs("skis:ski skies:sky idly:idl gently:gentl ugly:ugli early:earli only:onli singly:singl sky:sky news:news " +
    "howe:howe atlas:atlas cosmos:cosmos bias:bias andes:andes"));
  const STEP_2 = pairs("ational:ate fulness:ful iveness:ive ization:ize ousness:ous biliti:ble lessli:less tional:tion alism:al aliti:al " +
    "ation:ate entli:ent fulli:ful iviti:ive ogist:og ousli:ous abli:able alli:al anci:ance ator:ate enci:ence izer:ize bli:ble ogi li");
  const STEP_3 = pairs("ational:ate tional:tion alize:al ative icate:ic iciti:ic ical:ic ness: ful:");
  const STEP_4 = pairs("ement ance ence able ible ment ant ent ion ate ive ize iti ism ous al er ic");

  const short = (word) => /[^aeiouy][aeiouy][^aeiouywxY]$|^[aeiouy][^aeiouy]$|past$/.test(word);
  const region = /^[^aeiouy]*[aeiouy]+[^aeiouy]/;

  /** The longest ending of a word among those of a step, and what stands before it. */
  function ending(word, step) {
    const found = step.find(([end]) => word.endsWith(end));
    return found && { end: found[0], by: found[1], stem: word.slice(0, -found[0].length) };
  }

  /** Porter 2 as of Snowball 3. Source: snowballstem.org, "The English (Porter2) stemming algorithm". */
  function stem(word) {
    if (SPECIAL.has(word)) return SPECIAL.get(word);
    if (word.length < 3) return word;
    word = word.replace(/^'/, "").replace(/^y/, "Y").replace(/([aeiouy])y/g, "$1Y");
    const first = /^(?:arsen|commun|emerg|gener|inter|later|organ|past|univers)/.exec(word) || region.exec(word);
    const r1 = first ? first[0].length : word.length;
    const second = first && region.exec(word.slice(r1));
    const r2 = second ? r1 + second[0].length : word.length;
    word = step1(word, r1);
    let found = ending(word, STEP_2);
    if (found && found.stem.length >= r1) {
      if (found.end === "ogi") word = found.stem.endsWith("l") ? found.stem + "og" : word;
      else if (found.end === "li") word = /[cdeghkmnrt]$/.test(found.stem) ? found.stem : word;
      else word = found.stem + found.by;
    }
    found = ending(word, STEP_3);
    if (found && found.stem.length >= r1) {
      if (found.end === "ative") word = found.stem.length >= r2 ? found.stem : word;
      else word = found.stem + found.by;
    }
    found = ending(word, STEP_4);
    if (found && found.stem.length >= r2 && (found.end !== "ion" || /[st]$/.test(found.stem))) word = found.stem;
    const last = word.slice(0, -1);
    if (word.endsWith("e") && (last.length >= r2 || (last.length >= r1 && !short(last)))) word = last;
    else if (word.endsWith("ll") && last.length >= r2) word = last;
    return word.replace(/Y/g, "y");
  }

  /** Plurals, -ed and -ing, and a final y. */
  function step1(word, r1) {
    word = word.replace(/'s'$|'s$|'$/, "");
    if (word.endsWith("sses")) word = word.slice(0, -2);
    else if (/ie[ds]$/.test(word)) word = word.slice(0, -3) + (word.length > 4 ? "i" : "ie");
    else if (/[^us]s$/.test(word) && /[aeiouy]/.test(word.slice(0, -2))) word = word.slice(0, -1);
    let found;
    if ((found = /eed(?:ly)?$/.exec(word))) {
      const stem = word.slice(0, found.index);
      if (stem.length >= r1 && !/^(?:succ|proc|exc)$/.test(stem)) word = stem + "ee";
    } else if ((found = /(?:ed|ing|edly|ingly)$/.exec(word))) {
      const stem = word.slice(0, found.index);
      if (found[0] === "ing" && /^[^aeiouy]y$/.test(stem)) word = stem[0] + "ie";
      else if (!(found[0] === "ing" && /^(?:even|cann|inn|earr|herr|out)$/.test(stem)) && /[aeiouy]/.test(stem)) {
        word = stem;
        if (/(?:at|bl|iz)$/.test(word)) word += "e";
        else if (/(?:bb|dd|ff|gg|mm|nn|pp|rr|tt)$/.test(word)) word = /^[aeo]..$/.test(word) ? word : word.slice(0, -1);
        else if (word.length === r1 && short(word)) word += "e";
      }
    }
    return /.[^aeiouy][yY]$/.test(word) ? word.slice(0, -1) + "i" : word;
  }

  let forms = new Map();

  /** The term of a token; null for a stop word. */
  function term(word) {
    if (STOP.has(word) || [...word].length > LONGEST) return null;
    const spelt = american(word);
    return forms.get(spelt) || stem(spelt);
  }

  return {
    american, plain, stem, term, tokens, letter,
    /** Takes over the index's own word forms: a list of form and term by turns. */
    learn(list) {
      forms = new Map();
      for (let at = 0; at + 1 < list.length; at += 2) forms.set(list[at], list[at + 1]);
    },
  };
})();
