"use strict";
// Plays sounds in one place, and keeps the screen at the bench up to date. Every page works
// without this file; nothing here makes markup from text.

const player = document.getElementById("player");
if (player) {
  const audio = player.querySelector("audio");
  const title = document.getElementById("playing");
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-play]");
    if (!link) return;
    event.preventDefault();
    if (audio.src === link.href && !audio.paused) {
      audio.pause();
      return;
    }
    title.textContent = link.dataset.play;
    player.hidden = false;
    audio.src = link.href;
    audio.play().catch(() => { title.textContent = "This sound can't be played here."; });
  });
}

const live = document.getElementById("live");
if (live) {
  const put = (name, text) => {
    const place = document.getElementById(name);
    place.textContent = text || "";
    place.hidden = !text;
  };
  const marked = (place, sign, words, kind) => {
    const mark = document.createElement("span");
    mark.className = `mark ${kind}`;
    const b = document.createElement("b");
    b.textContent = sign;
    b.setAttribute("aria-hidden", "true");
    mark.append(b, ` ${words}`);
    place.replaceChildren(...(words ? [mark] : []));
  };
  const list = (name, rows, make) => {
    document.getElementById(name).replaceChildren(...rows.map(make));
  };
  const span = (name, text) => {
    const made = document.createElement("span");
    made.className = name;
    made.textContent = text;
    return made;
  };
  const show = (told) => {
    for (const name of ["unit", "label", "figure", "context", "question", "headline", "caution", "action", "note"]) {
      put(`live-${name}`, told[name]);
    }
    marked(document.getElementById("live-verdict"), told.sign, told.verdict, told.kind);
    list("live-before", told.before, (row) => {
      const item = document.createElement("li");
      const verdict = span("verdict", "");
      marked(verdict, row.sign, row.verdict, row.kind);
      item.append(span("label", row.label), span("figure", row.figure), verdict);
      return item;
    });
  };
  const state = document.getElementById("live-state");
  const events = new EventSource(live.dataset.events);
  events.addEventListener("session", (event) => { show(JSON.parse(event.data)); });
  events.addEventListener("open", () => { state.textContent = "Live"; });
  events.addEventListener("error", () => {
    const over = events.readyState === EventSource.CLOSED;
    state.textContent = over ? "Signed out: open the link again" : "Not connected; trying again";
  });
}
