// Films: chapters and captions from the page itself, a list of steps that seeks and follows, speed, and one step again and
// again. Without this script the browser's own player, the list of steps and the words spoken are there all the same.
(function () {
  "use strict";

  function cues(video, kind, label, rows) {
    if (!rows.length || !window.VTTCue) { return null; }
    var track = video.addTextTrack(kind, label, document.documentElement.lang || "en");
    rows.forEach(function (row) { track.addCue(new window.VTTCue(row[0], row[1], row[2])); });
    // Captions show at once, as they must for those who hear nothing; the player has a button against them.
    track.mode = kind === "captions" ? "showing" : "hidden";
    return track;
  }

  function film(figure) {
    var video = figure.querySelector("video");
    var island = figure.querySelector("script[type='application/json']");
    var tools = figure.querySelector(".film-tools");
    if (!video || !island) { return; }
    var data = JSON.parse(island.textContent);
    cues(video, "captions", tools.dataset.captions, data.captions);
    cues(video, "chapters", tools.dataset.chapters, data.chapters);
    var links = Array.prototype.slice.call(figure.querySelectorAll("a[data-at]"));
    var speed = tools.querySelector("select");
    var again = tools.querySelector("input[type='checkbox']");
    var said = tools.querySelector("[role='status']");
    var now = -1;

    function chapterAt(time) {
      for (var at = data.chapters.length - 1; at >= 0; at -= 1) {
        if (time >= data.chapters[at][0]) { return at; }
      }
      return -1;
    }

    function follow() {
      var time = video.currentTime;
      // The step that is to be seen again ends here; one that was left by hand is not called back.
      if (again && again.checked && now >= 0 && time >= data.chapters[now][1] && time < data.chapters[now][1] + 1) {
        video.currentTime = data.chapters[now][0];
        return;
      }
      var at = chapterAt(time);
      if (at === now) { return; }
      now = at;
      links.forEach(function (link, nth) {
        if (nth === at) { link.setAttribute("aria-current", "step"); } else { link.removeAttribute("aria-current"); }
      });
    }

    links.forEach(function (link) {
      link.addEventListener("click", function (event) {
        event.preventDefault();
        video.currentTime = Number(link.dataset.at);
        // Whoever chooses a step has left the one before, even if that was to be seen again.
        now = -1;
        follow();
        var playing = video.play();
        if (playing && playing.catch) { playing.catch(function () { /* The reader presses play. */ }); }
      });
    });
    video.addEventListener("timeupdate", follow);
    video.addEventListener("seeked", follow);
    // A loop of the last step: the film's end is the step's end.
    video.addEventListener("ended", function () {
      if (again && again.checked && now >= 0) {
        video.currentTime = data.chapters[now][0];
        video.play();
      }
    });
    video.addEventListener("error", function () { said.textContent = said.dataset.broken; });
    if (speed) {
      speed.addEventListener("change", function () { video.playbackRate = Number(speed.value); });
    }
    tools.hidden = false;
  }

  document.querySelectorAll("figure.film").forEach(film);
})();
