// Counts bubbles by taps. The rate goes by the time between taps, not by their number in
// so many seconds, so that it does not matter where the count begins; two taps closer than
// a bubble can follow another are one; what the phone slept through is left out.
"use strict";
const counts = () => document.querySelectorAll("[data-count][hidden]").forEach((box) => {
  const seconds = 30, closest = 150; // of the count; milliseconds between two bubbles
  const button = box.querySelector("[data-tap]");
  const big = box.querySelector("[data-big]"), small = box.querySelector("[data-small]");
  const field = box.closest("form").elements.bubbles;
  let taps, slept, timer = 0;
  box.hidden = false;

  const rate = () => {
    let time = 0, bubbles = 0;
    for (let i = 1; i < taps.length; i++) {
      if (slept.some((at) => at > taps[i - 1] && at < taps[i])) continue;
      time += taps[i] - taps[i - 1];
      bubbles++;
    }
    return bubbles ? 60000 * bubbles / time : 0;
  };
  const words = (perMinute) => perMinute >= 10 ? `${Math.round(perMinute)} bubbles a minute`
    : `one every ${(60 / perMinute).toFixed(perMinute > 5 ? 1 : 0)} s`;
  const show = () => {
    const left = seconds - (Date.now() - taps[0]) / 1000;
    const perMinute = rate();
    big.textContent = perMinute ? words(perMinute) : "Go on: tap with the next";
    if (perMinute) field.value = words(perMinute);
    if (left > 0) { small.textContent = `${taps.length} counted, ${Math.ceil(left)} s to go`; return; }
    if (!perMinute && left > -60) { small.textContent = "None since. Wait for the next, or write what you saw."; return; }
    stop();
  };
  const stop = () => {
    clearInterval(timer);
    timer = 0;
    const perMinute = rate();
    big.textContent = perMinute ? words(perMinute) : "Fewer than one in 90 s";
    small.textContent = perMinute ? `${taps.length} counted. Tap to count anew.` : "Write what you saw, or tap to count anew.";
    button.classList.remove("on");
    if (navigator.vibrate) navigator.vibrate(200);
  };
  const tap = () => {
    const now = Date.now();
    if (!timer) {
      taps = [now];
      slept = [];
      button.classList.add("on");
      timer = setInterval(show, 200);
    } else if (now - taps[taps.length - 1] >= closest) {
      taps.push(now);
    }
    show();
  };
  button.addEventListener("pointerdown", (event) => { event.preventDefault(); button.focus(); tap(); });
  button.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    if (!event.repeat) tap();
  });
  button.addEventListener("click", (event) => { if (event.detail === 0 && !event.pointerType) tap(); }); // a reader of the screen
  document.addEventListener("visibilitychange", () => { if (document.hidden && timer) slept.push(Date.now()); });
});
counts();
document.addEventListener("skep-form", counts); // the form again, with what was wrong
