// Asks the preview whether this page, or the strip above it, is still as it was; shows the strip, and loads the page anew
// with its place and its open parts kept. It waits only while somebody looks: a browser keeps few connections to one server.
(function () {
  "use strict";

  var script = document.currentScript;
  var page = script.dataset.page;
  var strip = script.dataset.strip;
  var key = "casewright preview " + location.pathname;
  var asking = null;
  var lost = 0;

  /** The parts of a page that open and close, each with its heading, so that it is found again on a changed page. */
  function parts() {
    var seen = {};
    var found = document.querySelectorAll("details");
    return Array.prototype.filter.call(found, function (part) { return !part.closest("#_preview"); }).map(function (part) {
      var summary = part.querySelector("summary");
      var name = part.id || (summary ? summary.textContent.trim() : "");
      seen[name] = (seen[name] || 0) + 1;
      return { part: part, name: name + " " + seen[name] };
    });
  }

  function keep() {
    var open = {};
    parts().forEach(function (it) { open[it.name] = it.part.open; });
    var focus = document.activeElement;
    var kept = { x: window.scrollX, y: window.scrollY, open: open, focus: focus && focus.id ? focus.id : "" };
    try {
      sessionStorage.setItem(key, JSON.stringify(kept));
    } catch (error) {
      // Without storage the page begins at its top.
    }
  }

  function restore() {
    var kept = null;
    try {
      kept = JSON.parse(sessionStorage.getItem(key));
      sessionStorage.removeItem(key);
    } catch (error) {
      // As above.
    }
    if (!kept) { return; }
    parts().forEach(function (it) {
      if (it.name in kept.open) { it.part.open = kept.open[it.name]; }
    });
    var focus = kept.focus && document.getElementById(kept.focus);
    if (focus) { focus.focus({ preventScroll: true }); }
    window.scrollTo({ left: kept.x, top: kept.y, behavior: "instant" });
  }

  function tell(html) {
    var old = document.getElementById("_preview");
    if (!html) {
      if (old) { old.remove(); }
      return;
    }
    if (!old) {
      old = document.createElement("section");
      old.id = "_preview";
      old.setAttribute("role", "alert");
      document.body.prepend(old);
    }
    var folded = old.querySelector("details");
    var closed = folded && !folded.open;
    old.innerHTML = html;
    if (closed) { old.querySelector("details").open = false; }
  }

  function heard(news) {
    if (news.page !== page) {
      // A page that is missing for a moment, while an editor saves it, keeps what was kept of it.
      if (page !== "none") { keep(); }
      location.reload();
      return;
    }
    strip = news.strip;
    tell(news.html);
    ask();
  }

  function ask() {
    if (asking || document.hidden) { return; }
    var request = new XMLHttpRequest();
    asking = request;
    var fields = { path: location.pathname, page: page, strip: strip };
    var query = Object.keys(fields).map(function (name) { return name + "=" + encodeURIComponent(fields[name]); });
    request.open("GET", "/~preview/news?" + query.join("&"));
    request.onload = function () {
      asking = null;
      lost = 0;
      if (request.status === 200) { heard(JSON.parse(request.responseText)); } else { setTimeout(ask, request.status === 204 ? 0 : 1000); }
    };
    request.onerror = function () {
      asking = null;
      lost += 1;
      if (lost === 3) {
        strip = "lost";
        tell("<p>The preview has ended, so this page no longer follows the library.</p>");
      }
      setTimeout(ask, 1000);
    };
    request.send();
  }

  document.addEventListener("visibilitychange", function () {
    if (document.hidden && asking) {
      asking.abort();
      asking = null;
    }
    ask();
  });
  // A page that a browser keeps for the way back must not hold a connection.
  window.addEventListener("pagehide", function () {
    if (asking) { asking.abort(); }
    asking = null;
  });
  window.addEventListener("pageshow", function (event) {
    if (event.persisted) { ask(); }
  });
  restore();
  ask();
})();
