// The code of a picture stands behind the "#": it goes into the field and out of sight.
"use strict";
{
  const form = document.querySelector("[data-pair]");
  const code = decodeURIComponent(location.hash.slice(1));
  if (form && code) {
    form.elements.code.value = code;
    history.replaceState(null, "", location.pathname);
    form.elements.name.focus();
  }
}
