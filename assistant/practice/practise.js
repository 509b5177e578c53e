"use strict";
// Each line typed loads the page anew; the recording stays where it was. All works without this.

const recording = document.getElementById("recording");
if (recording) {
  const name = recording.getAttribute("src");
  const was = Number(sessionStorage.getItem(name));
  if (was > 0) recording.currentTime = was;
  window.addEventListener("pagehide", () => { sessionStorage.setItem(name, String(recording.currentTime)); });
}
