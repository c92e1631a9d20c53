// What script adds to pages that work without it. Each part finds its own elements by a
// data- attribute and minds nothing else.
"use strict";

// A form that writes is sent once: a second tap on its button does nothing.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post") return;
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
