// A wait under way, an element with data-until: how long it still lasts, and a sign when it
// is over. The end is a time of the day, so that a phone that slept is right when it wakes.
"use strict";

(() => {
  const title = document.title;
  const rung = new Set();

  function left(seconds) {
    const parts = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
    return parts.slice(parts[0] ? 0 : 1).map((n, i) => (i ? String(n).padStart(2, "0") : n)).join(":");
  }

  // Phones allow it once the page was touched.
  function ring() {
    if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.([400, 200, 400, 200, 400]);
    try {
      const sound = new AudioContext();
      for (const at of [0, 0.5, 1]) {
        const tone = sound.createOscillator();
        const level = sound.createGain();
        tone.frequency.value = 880;
        level.gain.setValueAtTime(0.3, sound.currentTime + at);
        level.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + at + 0.4);
        tone.connect(level).connect(sound.destination);
        tone.start(sound.currentTime + at);
        tone.stop(sound.currentTime + at + 0.4);
      }
    } catch {
      // no sound here; the words say it
    }
  }

  function tick() {
    let over = "";
    for (const wait of document.querySelectorAll("[data-until]")) {
      const until = new Date(wait.dataset.until);
      const seconds = Math.ceil((until - Date.now()) / 1000);
      const words = wait.querySelector("[data-left]");
      const clock = until.toTimeString().slice(0, 5);
      if (seconds > 0) {
        words.textContent = `${left(seconds)}, until ${clock}`;
        continue;
      }
      words.textContent = `the time is up, since ${clock}`;
      if (!wait.classList.contains("over") && !rung.has(wait.dataset.until)) {
        rung.add(wait.dataset.until);
        wait.classList.add("over");
        wait.setAttribute("role", "alert");
        ring();
      }
      if (wait.classList.contains("over")) over = wait.dataset.title;
    }
    document.title = over ? `Time is up: ${over}` : title;
  }

  tick();
  setInterval(tick, 1000);
  document.addEventListener("visibilitychange", tick);
})();
