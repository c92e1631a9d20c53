// What script adds to pages that work without it. Each part finds its own elements by a
// data- attribute and minds nothing else.
"use strict";

// A form that writes is sent once: a second tap on its button does nothing.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post" || form.matches("[data-outbox]")) return;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
  for (const button of form.querySelectorAll("button")) button.setAttribute("aria-disabled", "true");
});
window.addEventListener("pageshow", () => { // back again: it may be sent again, under the same key
  for (const form of document.querySelectorAll("form[data-sent]")) {
    delete form.dataset.sent;
    for (const button of form.querySelectorAll("button")) button.removeAttribute("aria-disabled");
  }
});

// What others change is seen here: a part with data-live is read again when the page is
// looked at, now and then while it is, and soon while a forecast is being made. Nothing is
// changed under a finger or a reader: only where there is something new.
{
  const often = 20000, soon = 1200; // milliseconds
  let timer = 0, shown = null;
  const live = () => document.querySelector("[data-live]");
  const again = () => {
    clearTimeout(timer);
    if (live() && !document.hidden) timer = setTimeout(look, live().dataset.live === "soon" ? soon : often);
  };
  const look = async () => {
    try {
      const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
      const fresh = answer.ok && new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-live]");
      const part = live();
      if (fresh && part && fresh.innerHTML !== shown && !part.contains(document.activeElement)) {
        shown = fresh.innerHTML;
        if (shown !== part.innerHTML) {
          const open = [...part.querySelectorAll("details")].map((d) => d.open);
          part.replaceWith(fresh);
          fresh.querySelectorAll("details").forEach((d, i) => { d.open = open[i] || false; });
        }
      }
    } catch { /* it cannot be reached; the next time it may */ }
    again();
  };
  document.addEventListener("visibilitychange", () => { if (!document.hidden) look(); });
  window.addEventListener("focus", look);
  document.addEventListener("skep-changed", look);
  if (live()) { shown = live().innerHTML; again(); }
}
