// Lets a reader commit to an answer before the reasons open. Without this script the answers open by themselves.
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
})();
