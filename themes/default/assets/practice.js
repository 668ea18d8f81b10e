// Practice: draws decisions, takes an answer and a confidence, gives the reasons, and keeps what comes again when. All of it
// stays in this browser. Questions come as classic scripts that call casewrightPractice(): a page from a file share can load
// nothing else.
(function () {
  "use strict";

  var DAY = 86400000;
  var FORMAT = "casewright practice progress";
  var VERSION = 1;
  /** Answers that are kept for the picture; older ones go. */
  var MOST_KEPT = 2000;
  var SURE = ["certain", "fairly sure", "guessing"];

  // ---- What comes when: no page, no clock, so that it can be tested alone ----

  var schedule = {
    good: function (verdict) { return verdict === "best" || verdict === "acceptable"; },

    /**
     * The box and the time after an answer at `now`. A mistake begins again. The best answer goes a box up, but only when the
     * topic was due: five good answers in one evening are one evening's memory.
     */
    answered: function (item, verdict, now, days) {
      var last = days.length - 1;
      var box = Math.min(item ? item.box : 0, last);
      var early = item && !schedule.isDue(item, now);
      if (!schedule.good(verdict)) { box = 0; }
      else if (early) { return { box: box, due: Math.max(item.due, now + days[Math.max(1, box)] * DAY), at: now }; }
      else if (verdict === "best") { box = Math.min(box + 1, last); }
      else { box = Math.max(1, box); }
      return { box: box, due: now + days[box] * DAY, at: now };
    },

    /** The last moment of a day: what is due at some time of it is due from its morning on. */
    evening: function (time) { return new Date(time).setHours(23, 59, 59, 999); },

    isDue: function (item, now) { return item.due <= schedule.evening(now); },

    /**
     * Sets right what a clock that was ahead left behind: answered in what is the future now, a topic counts as answered now.
     * Tells whether anything was changed.
     */
    anchor: function (topics, now, days) {
      var changed = false;
      Object.keys(topics).forEach(function (name) {
        var item = topics[name];
        if (item.at > now) {
          topics[name] = { box: item.box, due: now + days[Math.min(item.box, days.length - 1)] * DAY, at: now };
          changed = true;
        }
      });
      return changed;
    },

    /** Topics of the site that are due, longest due first. What the library no longer has waits in case it comes back. */
    dueTopics: function (topics, now, known) {
      return Object.keys(topics)
        .filter(function (name) { return known(name) && schedule.isDue(topics[name], now); })
        .sort(function (one, other) { return topics[one].due - topics[other].due || (one < other ? -1 : 1); });
    },

    /** What two pages of one reader know together: of each topic and answer what is later, of the log all. */
    merged: function (one, other) {
      var whole = schedule.empty(one.site);
      whole.reading = one.reading;
      ["topics", "answers"].forEach(function (kind) {
        [other, one].forEach(function (state) {
          Object.keys(state[kind]).forEach(function (name) {
            var known = whole[kind][name];
            if (!known || state[kind][name].at >= known.at) { whole[kind][name] = state[kind][name]; }
          });
        });
      });
      var seen = {};
      whole.log = one.log.concat(other.log).filter(function (it) {
        var key = [it.about, it.verdict, it.sure, it.at].join("|");
        var fresh = !seen[key];
        seen[key] = true;
        return fresh;
      }).sort(function (a, b) { return a.at - b.at; });
      return whole;
    },

    /**
     * Which of the questions [[case, id, hash], …] comes next: one that was never answered, or changed since, before any other;
     * then one of another case than the last; then what went wrong; then what was answered longest ago. -1 if all are in `not`.
     */
    pick: function (questions, answers, lastCase, not) {
      var best = -1, bestRank = null;
      questions.forEach(function (question, at) {
        var key = question[0] + "/" + question[1];
        if (not && not[key]) { return; }
        var answer = answers[key];
        var fresh = !answer || answer.hash !== question[2];
        var rank = [fresh ? 0 : 1, question[0] === lastCase ? 1 : 0, fresh || schedule.good(answer.verdict) ? 1 : 0, fresh ? 0 : answer.at, at];
        for (var place = 0; bestRank && place < rank.length; place++) {
          if (rank[place] !== bestRank[place]) {
            if (rank[place] > bestRank[place]) { return; }
            break;
          }
        }
        best = at;
        bestRank = rank;
      });
      return best;
    },

    empty: function (site) {
      return { format: FORMAT, version: VERSION, site: site, reading: "ask", topics: {}, answers: {}, log: [] };
    },

    /** Progress from text: { state } or { fault } in words. Nothing of it is used unless all of it holds. */
    read: function (text, site) {
      var state;
      try { state = JSON.parse(text); } catch (broken) { return { fault: "This is no progress of this page: it is not whole." }; }
      if (!state || state.format !== FORMAT) { return { fault: "This is no progress of this page." }; }
      if (state.version !== VERSION) { return { fault: "This progress was written by another edition of this page, which this one cannot read." }; }
      if (state.site !== site) { return { fault: "This is the progress of another library: " + String(state.site).slice(0, 60) + "." }; }
      var number = function (it) { return typeof it === "number" && isFinite(it); };
      var word = function (it) { return typeof it === "string"; };
      var all = function (map, holds) {
        return map && typeof map === "object" && !Array.isArray(map) && Object.keys(map).every(function (key) { return map[key] && holds(map[key]); });
      };
      var sound = (state.reading === "ask" || state.reading === "straight")
        && all(state.topics, function (it) { return number(it.box) && it.box >= 0 && it.box % 1 === 0 && number(it.due) && number(it.at); })
        && all(state.answers, function (it) { return word(it.hash) && word(it.verdict) && number(it.at); })
        && Array.isArray(state.log)
        && state.log.every(function (it) { return it && word(it.about) && word(it.verdict) && SURE.indexOf(it.sure) >= 0 && number(it.at); });
      if (!sound) { return { fault: "This progress is damaged: some of it is missing or not what it should be. Nothing was changed." }; }
      return { state: state };
    },

    /** How the reader's confidence fared, by topic: those with most confident mistakes first. */
    tally: function (log) {
      var topics = {};
      log.forEach(function (it) {
        var row = topics[it.about] = topics[it.about] || { about: it.about };
        SURE.forEach(function (sure) { row[sure] = row[sure] || { wrong: 0, right: 0 }; });
        row[it.sure][schedule.good(it.verdict) ? "right" : "wrong"] += 1;
      });
      return Object.keys(topics).map(function (name) { return topics[name]; }).sort(function (one, other) {
        return other.certain.wrong - one.certain.wrong
          || other["fairly sure"].wrong - one["fairly sure"].wrong
          || (one.about < other.about ? -1 : 1);
      });
    },
  };

  if (typeof document === "undefined") {
    globalThis.casewrightSchedule = schedule;
    return;
  }

  // ---- The page ----

  var place = function (id) { return document.getElementById(id); };
  var site = "", days = [1], topics = [], labels = {};
  var state = schedule.empty(""), kept = true;
  var parts = {}, waiting = {};
  /** What is being practised: { mode, topic, done, lastCase, question }. */
  var round = null;

  function key() { return "casewright practice " + site; }
  /** Where progress that cannot be read is set aside, so that practising on does not destroy it. */
  function aside() { return key() + ", set aside"; }

  function refused() {
    if (!kept) { return; }
    kept = false;
    place("_kept").textContent = "This browser keeps nothing for this page. Export your progress before you close it, and import it when you come back.";
    tell("This browser keeps nothing for this page: export your progress before you close it.");
  }

  function save() {
    try { localStorage.setItem(key(), JSON.stringify(state)); } catch (error) { refused(); }
  }

  /** What the browser keeps: another page may have written it since. */
  function stored() {
    try { return localStorage.getItem(key()); } catch (error) { refused(); return null; }
  }

  function restore() {
    var text = stored();
    state = schedule.empty(site);
    if (text === null) { return; }
    var read = schedule.read(text, site);
    if (read.state) {
      state = read.state;
      if (schedule.anchor(state.topics, Date.now(), days)) { save(); }
      return;
    }
    try { localStorage.setItem(aside(), text); } catch (error) { refused(); }
    tell(read.fault + " It is set aside and stands below: save it before you erase anything.");
    place("_file").hidden = false;
    place("_text").value = text;
  }

  /** Takes in what another page of this reader has kept meanwhile. */
  function join() {
    var text = stored();
    var read = text === null ? {} : schedule.read(text, site);
    if (read.state) { state = schedule.merged(state, read.state); }
  }

  function say(words) { place("_said").textContent = words; }
  function tell(words) { place("_told").textContent = words; }
  function label(name) { return labels[name] ? labels[name].label : name.replace(/-/g, " "); }

  function known(name) { return Boolean(labels[name]); }

  function when(time, now) {
    var left = Math.max(0, Math.round((schedule.evening(time) - schedule.evening(now)) / DAY));
    return left === 0 ? "today" : left === 1 ? "tomorrow" : "in " + left + " days";
  }

  /** Loads a part once; a part that does not come is told, never waited for in silence. */
  function load(kind, name, path, then) {
    var id = kind + " " + name;
    if (parts[id]) { then(parts[id]); return; }
    if (waiting[id]) { waiting[id].push(then); return; }
    waiting[id] = [then];
    var script = document.createElement("script");
    script.src = path;
    script.onload = script.onerror = function () {
      script.remove();
      var all = waiting[id];
      delete waiting[id];
      if (!parts[id]) { say("The file " + path + " of this site is missing or broken. Whoever keeps the site can mend that."); return; }
      all.forEach(function (it) { it(parts[id]); });
    };
    document.head.appendChild(script);
  }

  window.casewrightPractice = function (kind, name, part) {
    if (kind === "topics") { begin(name, part); } else { parts[kind + " " + name] = part; }
  };

  function begin(name, part) {
    site = name;
    days = part.days;
    topics = part.topics.map(function (it) { return { name: it[0], label: it[1], href: it[2], kind: it[3], count: it[4] }; });
    topics.forEach(function (it) { labels[it.name] = it; });
    restore();
    var kinds = ["complication", "technique", "finding", "outcome", "material", "instrument", ""];
    kinds.forEach(function (kind) {
      var some = topics.filter(function (it) { return it.kind === kind; });
      if (!some.length) { return; }
      var group = document.createElement("optgroup");
      group.label = kind ? kind + "s" : "others";
      some.forEach(function (it) {
        var option = document.createElement("option");
        option.value = it.name;
        option.textContent = it.label + " (" + it.count + ")";
        group.appendChild(option);
      });
      place("_topic").appendChild(group);
    });
    place("_practice").hidden = false;
    fromAddress();
    show();
  }

  function fromAddress() {
    var asked = /^#topic=([a-z0-9-]+)$/.exec(location.hash);
    if (asked && labels[asked[1]]) {
      place("_topic").value = asked[1];
      say("Topic chosen: " + label(asked[1]) + ".");
    }
  }

  function show() {
    var now = Date.now();
    var due = schedule.dueTopics(state.topics, now, known);
    var words;
    if (due.length) {
      // An open card must not be told by the name of its topic.
      var open = round && round.question && !round.question.answered;
      words = due.length + (due.length === 1 ? " topic is due" : " topics are due")
        + (open ? "" : ": " + due.slice(0, 5).map(label).join(", ") + (due.length > 5 ? " and more" : "")) + ".";
    } else {
      var next = Object.keys(state.topics).filter(known).map(function (name) { return state.topics[name].due; }).sort(function (a, b) { return a - b; })[0];
      words = next === undefined ? "Nothing answered yet. Begin with one topic." : "Nothing is due; the next topic comes " + when(next, now) + ".";
    }
    place("_due").textContent = words;
    place("_review").disabled = due.length === 0;
    place("_review").textContent = due.length ? "Review what is due (" + due.length + ")" : "Review what is due";
    place("_reading").elements.reading.value = state.reading;
    picture();
  }

  function marks(cell, counts) {
    var most = 10;
    var drawn = "✕".repeat(Math.min(counts.wrong, most)) + "●".repeat(Math.min(counts.right, most));
    var seen = document.createElement("span");
    seen.setAttribute("aria-hidden", "true");
    seen.textContent = drawn || "–";
    var told = document.createElement("span");
    told.className = counts.wrong + counts.right > 0 && (counts.wrong > most || counts.right > most) ? "count" : "unseen";
    told.textContent = " " + counts.wrong + " wrong, " + counts.right + " right";
    cell.append(seen, told);
  }

  /** The reader's own answers: confident mistakes first, since those hurt patients. */
  function picture() {
    var box = place("_picture");
    box.textContent = "";
    var rows = schedule.tally(state.log);
    var intro = document.createElement("p");
    if (!rows.length) {
      intro.textContent = "None yet.";
      box.append(intro);
      return;
    }
    var worst = rows.filter(function (row) { return row.certain.wrong > 0; });
    intro.textContent = worst.length
      ? "Where you were certain and wrong, first: " + worst.slice(0, 3).map(function (row) { return label(row.about); }).join(", ") + ". ✕ is a mistake, ● a good answer."
      : "No mistake of which you were certain. ✕ is a mistake, ● a good answer.";
    var side = document.createElement("div");
    side.className = "sideways";
    side.setAttribute("role", "region");
    side.setAttribute("aria-label", "Your answers by topic and confidence");
    side.tabIndex = 0;
    var table = document.createElement("table");
    var head = table.createTHead().insertRow();
    ["Topic"].concat(SURE).forEach(function (words) {
      var cell = document.createElement("th");
      cell.scope = "col";
      cell.textContent = words;
      head.append(cell);
    });
    var body = table.createTBody();
    rows.forEach(function (row) {
      var line = body.insertRow();
      var name = document.createElement("th");
      name.scope = "row";
      if (labels[row.about] && labels[row.about].href) {
        var link = document.createElement("a");
        link.href = labels[row.about].href;
        link.textContent = label(row.about);
        name.append(link);
      } else {
        name.textContent = label(row.about);
      }
      line.append(name);
      SURE.forEach(function (sure) { marks(line.insertCell(), row[sure]); });
    });
    side.append(table);
    box.append(intro, side);
  }

  // ---- A round ----

  function start(mode, topic) {
    round = { mode: mode, topic: topic, done: {}, lastCase: round ? round.lastCase : "", question: null };
    next();
  }

  function next() {
    if (round.mode === "due") {
      var due = schedule.dueTopics(state.topics, Date.now(), known);
      if (!due.length) { finish("Nothing more is due."); return; }
      round.topic = due[Math.floor(Math.random() * due.length)];
    } else if (round.mode === "mixed") {
      var all = topics.reduce(function (sum, it) { return sum + it.count; }, 0);
      var draw = Math.random() * all;
      round.topic = topics.find(function (it) { draw -= it.count; return draw < 0; }).name;
    }
    load("topic", round.topic, "practice/t-" + round.topic + ".js", function (questions) {
      var at = schedule.pick(questions, state.answers, round.lastCase, round.mode === "one" ? round.done : null);
      if (at < 0) { finish("You have answered every decision of this topic."); return; }
      var question = questions[at];
      load("case", question[0], "practice/c-" + question[0] + ".js", function (told) { ask(question, told); });
    });
  }

  function finish(words) {
    place("_card").hidden = true;
    round.question = null;
    show();
    say(words);
    place("_topic").focus();
  }

  function ask(question, told) {
    var at = told.decisions.findIndex(function (it) { return it.id === question[1]; });
    var decision = told.decisions[at];
    if (!decision || decision.hash !== question[2]) {
      say("This page and its questions are of different editions. Load the page anew.");
      return;
    }
    round.question = { case: question[0], told: told, decision: decision };
    place("_where").textContent = (round.mode === "one" ? "One topic" : round.mode === "due" ? "Due again" : "Mixed topics")
      + (told.decisions.length > 1 ? ". Decision " + (at + 1) + " of " + told.decisions.length + " in this case." : ".");
    place("_title").textContent = told.title;
    place("_so-far").innerHTML = told.soFar.slice(0, at + 1).join("\n");
    place("_question").innerHTML = decision.question;
    place("_answer").hidden = true;
    place("_verdicts").textContent = "";
    place("_outcome").textContent = "";
    var form = place("_form");
    form.reset();
    form.hidden = false;
    form.querySelectorAll("fieldset, button").forEach(function (it) { it.disabled = false; });
    place("_card").hidden = false;
    say("");
    show();
    place("_title").focus();
  }

  function commit() {
    var form = place("_form"), question = round.question;
    var choice = form.elements.choice.value, sure = form.elements.sure.value;
    if (!choice || !sure) {
      say(choice ? "Say first how sure you are." : "Choose an answer first.");
      form.querySelector(choice ? "[name=sure]" : "[name=choice]").focus();
      return;
    }
    var decision = question.decision, verdict = decision.verdicts[choice], about = decision.about[0], now = Date.now();
    join();
    schedule.anchor(state.topics, now, days);
    question.answered = true;
    // What was due and drawn counts as answered, whatever else the question is about.
    [about].concat(round.mode === "due" && round.topic !== about ? [round.topic] : []).forEach(function (name) {
      state.topics[name] = schedule.answered(state.topics[name], verdict, now, days);
    });
    state.answers[question.case + "/" + decision.id] = { hash: decision.hash, verdict: verdict, sure: sure, at: now };
    state.log.push({ about: about, verdict: verdict, sure: sure, at: now });
    state.log.splice(0, Math.max(0, state.log.length - MOST_KEPT));
    save();
    round.done[question.case + "/" + decision.id] = true;
    round.lastCase = question.case;
    form.querySelectorAll("fieldset, button").forEach(function (it) { it.disabled = true; });
    place("_verdicts").innerHTML = decision.answer;
    var chosen = place("answer_" + decision.id + "_" + choice);
    if (chosen) { chosen.classList.add("chosen"); }
    var best = Object.keys(decision.verdicts).filter(function (it) { return decision.verdicts[it] === "best"; });
    var words = "You chose " + choice + " and were " + sure + ". It is " + (verdict === "best" ? "the best here" : verdict)
      + (verdict === "best" ? ". " : "; best here is " + best.join(" or ") + ". ")
      + "The topic " + label(about) + " comes again " + when(state.topics[about].due, now) + ".";
    place("_outcome").textContent = words;
    place("_back").href = state.reading === "straight" ? question.told.straight : question.told.ask;
    place("_answer").hidden = false;
    place("_reasons").focus();
    show();
    say(words);
  }

  // ---- Progress in and out ----

  function exported() { return JSON.stringify(state, null, 1) + "\n"; }

  function take(text) {
    var read = schedule.read(text, site);
    if (read.fault) { tell(read.fault); return; }
    state = read.state;
    save();
    round = null;
    place("_card").hidden = true;
    show();
    tell("Imported: " + Object.keys(state.answers).length + " answered decisions.");
  }

  place("_begin").addEventListener("submit", function (event) {
    event.preventDefault();
    if (place("_topic").value) { start("one", place("_topic").value); }
  });
  place("_review").addEventListener("click", function () { start("due", ""); });
  place("_mixed").addEventListener("click", function () { start("mixed", ""); });
  place("_next").addEventListener("click", next);
  place("_form").addEventListener("submit", function (event) {
    event.preventDefault();
    commit();
  });
  place("_reading").addEventListener("change", function () {
    join();
    state.reading = place("_reading").elements.reading.value;
    save();
  });
  place("_export").addEventListener("click", function () {
    place("_file").hidden = false;
    place("_text").value = exported();
    var link = place("_save");
    if (link.href) { URL.revokeObjectURL(link.href); }
    link.href = URL.createObjectURL(new Blob([exported()], { type: "application/json" }));
    link.download = site + "-practice.json";
    link.hidden = false;
    tell("Your progress stands below: save it as a file, or copy it.");
  });
  place("_import").addEventListener("click", function () {
    var text = place("_text");
    if (place("_file").hidden || !text.value.trim()) {
      place("_file").hidden = false;
      tell("Put exported progress into the field, or choose its file. It replaces what is here.");
      text.focus();
      return;
    }
    take(text.value);
  });
  place("_pick").addEventListener("change", function () {
    var file = place("_pick").files[0];
    if (!file) { return; }
    var reader = new FileReader();
    reader.onload = function () { take(String(reader.result)); };
    reader.onerror = function () { tell("The file could not be read."); };
    reader.readAsText(file);
    place("_pick").value = "";
  });
  place("_erase").addEventListener("click", function () {
    var button = place("_erase");
    if (button.dataset.sure !== "yes") {
      button.dataset.sure = "yes";
      button.textContent = "Erase all of it";
      tell("Press again to erase everything this page has kept. It cannot be brought back.");
      return;
    }
    delete button.dataset.sure;
    button.textContent = "Erase";
    state = schedule.empty(site);
    try { [key(), aside()].forEach(function (it) { localStorage.removeItem(it); }); } catch (error) { refused(); }
    place("_text").value = "";
    round = null;
    place("_card").hidden = true;
    show();
    tell("Everything this page had kept is gone.");
  });
  place("_erase").addEventListener("blur", function () {
    delete place("_erase").dataset.sure;
    place("_erase").textContent = "Erase";
  });
  window.addEventListener("hashchange", fromAddress);
  // Another page of this reader has answered, or erased everything.
  window.addEventListener("storage", function (event) {
    if (event.key !== key() && event.key !== null) { return; }
    if (event.newValue === null) { state = schedule.empty(site); } else { join(); }
    show();
  });
})();
