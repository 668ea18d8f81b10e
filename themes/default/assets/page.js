// Lets a reader commit to an answer before the reasons open, stop at each step, and narrow a list by words. Without this script
// the answers open by themselves, all steps stand at once, and lists are narrowed by their links alone.
(function () {
  "use strict";

  function commit(form) {
    var said = form.querySelector(".said");
    var chosen = form.querySelector("input:checked");
    if (!chosen) {
      said.textContent = said.dataset.none;
      var first = form.querySelector("input");
      if (first) { first.focus(); }
      return;
    }
    var answer = document.getElementById(form.dataset.answer);
    var verdict = document.getElementById(form.dataset.answer + "_" + chosen.value);
    if (!answer || !verdict) { return; }
    answer.open = true;
    verdict.classList.add("chosen");
    var yours = answer.querySelector(".yours");
    if (yours) { yours.hidden = false; }
    form.querySelector("fieldset").disabled = true;
    form.querySelector("button").hidden = true;
    var word = verdict.querySelector(".verdict");
    var mark = word.querySelector("[aria-hidden]");
    var words = word.textContent.replace(mark ? mark.textContent : "", "").trim();
    said.textContent = said.dataset.chosen + " " + chosen.value + ". " + said.dataset.verdict + " " + words + ".";
    verdict.focus();
  }

  document.querySelectorAll("form[data-answer]").forEach(function (form) {
    form.querySelector("button").hidden = false;
    form.addEventListener("submit", function (event) {
      event.preventDefault();
      commit(form);
    });
  });

  /** Steps one by one: the others, the pictures that show them and what follows wait. Help for novices; it hinders who knows more, so it is off at first. */
  function stepwise(box) {
    var button = document.createElement("button");
    button.type = "button";
    button.className = "second";
    var undo = [];
    function hide(element) {
      if (!element.hidden) { element.hidden = true; undo.push(element); }
    }
    function show(element) {
      element.hidden = false;
      undo = undo.filter(function (it) { return it !== element; });
    }
    function waiting(list) {
      return Array.prototype.filter.call(list.children, function (step) { return undo.indexOf(step) >= 0; });
    }
    function after(element) {
      var found = [];
      for (var next = element.nextElementSibling; next; next = next.nextElementSibling) { found.push(next); }
      return found;
    }
    var lists = Array.prototype.slice.call(document.querySelectorAll("main .record ol.steps"));
    function rest(list) {
      var record = list.closest(".record");
      return Array.prototype.slice.call(record.querySelectorAll("figure")).concat(after(list), after(record)).filter(function (it) { return it !== button; });
    }
    function next() {
      var list = lists.find(function (it) { return waiting(it).length > 0; });
      if (!list) { button.remove(); return; }
      var steps = waiting(list);
      button.textContent = steps.length === 1 ? "Last step up to here" : "Next step (" + (steps.length - 1) + " more after it)";
      list.insertAdjacentElement("afterend", button);
    }
    button.addEventListener("click", function () {
      var list = lists.find(function (it) { return waiting(it).length > 0; });
      var step = waiting(list)[0];
      show(step);
      if (!waiting(list).length) { rest(list).forEach(show); }
      step.tabIndex = -1;
      next();
      step.focus();
    });
    box.addEventListener("change", function () {
      if (box.checked) {
        lists.forEach(function (list) {
          if (list.children.length < 2) { return; }
          Array.prototype.slice.call(list.children, 1).forEach(hide);
          rest(list).forEach(hide);
        });
        next();
      } else {
        undo.slice().forEach(show);
        button.remove();
      }
    });
    box.closest("p").hidden = false;
  }

  document.querySelectorAll("#_stepwise").forEach(stepwise);

  /** Small letters without accents, so that a word is found however it is typed. */
  function folded(text) {
    return text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f]/g, "").replace(/[-\u2010-\u2015\s]+/g, " ").trim();
  }

  function narrow(bar) {
    var field = bar.querySelector("input");
    var said = bar.querySelector("[role=status]");
    var items = Array.prototype.map.call(document.querySelectorAll("main [data-marks]"), function (item) {
      return { item: item, text: folded(item.textContent) };
    });
    var groups = document.querySelectorAll("main .group");
    var before = "";
    function tell() {
      var shown = items.filter(function (it) { return it.item.getClientRects().length > 0; }).length;
      said.textContent = shown === items.length ? "" : shown + " of " + items.length + " " + said.dataset.noun + " shown";
      bar.querySelectorAll(".only a").forEach(function (link) {
        var all = link.id === "only-all";
        var here = location.hash === "#" + link.id || (all && !/^#only-/.test(location.hash));
        if (here) { link.setAttribute("aria-current", "true"); } else { link.removeAttribute("aria-current"); }
      });
    }
    function apply() {
      var words = folded(field.value).split(" ");
      items.forEach(function (it) {
        it.item.hidden = !words.every(function (word) { return it.text.indexOf(word) >= 0; });
      });
      groups.forEach(function (group) { group.hidden = !group.querySelector("[data-marks]:not([hidden])"); });
      tell();
    }
    function keep() {
      var words = field.value.trim();
      if (words === before) { return; }
      before = words;
      // The address keeps the words, so that going back or sharing it finds the same list. A browser that forbids that loses only this.
      try {
        history.replaceState(null, "", location.pathname + (words ? "?words=" + encodeURIComponent(words) : "") + location.hash);
      } catch (refused) { return; }
    }
    before = (/[?&]words=([^&]*)/.exec(location.search) || ["", ""])[1];
    try { field.value = before = decodeURIComponent(before.replace(/\+/g, " ")); } catch (broken) { before = ""; }
    // Its room was kept: a list that moves when it appears loses the reader.
    field.closest("p").classList.remove("waiting");
    field.addEventListener("input", function () { apply(); keep(); });
    window.addEventListener("hashchange", tell);
    apply();
  }

  document.querySelectorAll("[data-narrow]").forEach(narrow);
})();
