// Lets a reader commit to an answer before the reasons open, and narrow a list by words. Without this script the answers
// open by themselves, and lists are narrowed by their links alone.
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
