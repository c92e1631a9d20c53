// What a form asks for stands in the address, so that a reload or Back asks it again.
"use strict";

document.addEventListener("input", (event) => {
  const form = event.target.closest("form[data-address]");
  if (!form) return;
  const asked = new URLSearchParams([...new FormData(form)].filter(([, words]) => words.trim() !== ""));
  history.replaceState(history.state, "", asked.size ? `${form.action}?${asked}` : form.action);
});
