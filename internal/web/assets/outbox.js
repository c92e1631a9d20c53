// Nothing typed is lost. A form with data-outbox that cannot reach Skep keeps what was
// typed in this browser, with the form's key and the time, and sends it when Skep answers
// again. The key makes it one entry, however often it is sent. What Skep refuses stays
// here, with the reason, to be put right or dropped by the person who typed it.
"use strict";
{
  const shelf = "skep-outbox";
  const read = () => { try { return JSON.parse(localStorage.getItem(shelf)) || []; } catch { return []; } };
  const write = (all) => localStorage.setItem(shelf, JSON.stringify(all));
  const change = (key, change) => write(read().flatMap((entry) => entry.key === key ? change(entry) : [entry]));
  const list = document.querySelector("[data-outbox-list]");
  const soon = 4000, later = 15000; // milliseconds until it is tried again

  // send answers "sent", "waiting" or "refused", and where the entry is shown.
  const send = async (entry) => {
    let answer;
    try {
      answer = await fetch(entry.action, {
        method: "POST", body: new URLSearchParams(entry.fields), redirect: "follow", signal: AbortSignal.timeout(20000),
      });
    } catch { return { state: "waiting" }; }
    if (answer.ok) return { state: "sent", at: answer.url };
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (answer.status === 401 || answer.status === 408 || answer.status === 429 || answer.status >= 500) return { state: "waiting", page };
    const fault = page.querySelector("main .fault") || page.querySelector("main p");
    return { state: "refused", why: fault ? fault.textContent.trim() : "It was refused.", page };
  };

  const words = (entry) => entry.fields
    .filter(([name, value]) => value && !["key", "typed", "instead"].includes(name)).map(([, value]) => value).join(", ");

  const show = () => {
    const all = read();
    if (!list) return;
    list.hidden = all.length === 0;
    list.replaceChildren();
    if (!all.length) return;
    const line = document.createElement("p");
    const waiting = all.filter((entry) => !entry.why).length;
    line.textContent = waiting ? `Waiting to be sent (${waiting}): Skep cannot be reached. What you typed is kept here.` : "Not recorded: Skep refused what was sent later.";
    const entries = document.createElement("ul");
    for (const entry of all) {
      const item = document.createElement("li");
      item.append(`${entry.label}: ${words(entry)}`);
      if (entry.why) {
        const why = document.createElement("strong");
        why.textContent = ` ${entry.why} `;
        const right = document.createElement("a");
        right.href = `${entry.form}#put-right-${entry.key}`;
        right.textContent = "Put it right";
        right.className = "button plain tight";
        const drop = document.createElement("button");
        drop.type = "button";
        drop.className = "plain tight";
        drop.textContent = "Drop it";
        drop.addEventListener("click", () => { change(entry.key, () => []); show(); });
        item.append(why, right, " ", drop);
      }
      entries.append(item);
    }
    list.append(line, entries);
  };

  // Only one page sends at a time, where the browser can see to that.
  let timer = 0;
  const sendAll = async () => {
    clearTimeout(timer);
    let sent = 0;
    for (const entry of read().filter((entry) => !entry.why)) {
      const answer = await send(entry);
      if (answer.state === "waiting") break;
      if (answer.state === "sent") sent++;
      change(entry.key, () => answer.state === "sent" ? [] : [{ ...entry, why: answer.why }]);
    }
    show();
    if (sent) document.dispatchEvent(new Event("skep-changed"));
    if (read().some((entry) => !entry.why)) timer = setTimeout(together, later);
  };
  const together = () => navigator.locks ? navigator.locks.request(shelf, sendAll) : sendAll();

  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!form.matches("form[data-outbox]") || event.defaultPrevented) return;
    event.preventDefault();
    if (form.dataset.sent) return;
    form.dataset.sent = "yes";
    const fields = [...new FormData(form, event.submitter)].filter(([name, value]) => name !== "typed" && typeof value === "string");
    if (form.dataset.typed) fields.push(["typed", form.dataset.typed]); // put right: it is of when it was first typed
    const entry = {
      key: form.elements.key.value, action: form.action, form: location.pathname + location.search, label: form.dataset.outbox,
      fields: form.dataset.typed ? fields : fields.concat([["typed", new Date().toISOString()]]),
    };
    const answer = await send({ ...entry, fields });
    if (answer.state === "sent") {
      if (form.dataset.putRight) change(form.dataset.putRight, () => []);
      location.assign(answer.at);
      return;
    }
    if (answer.state === "refused" && answer.page.querySelector("main form")) { //: the form again, with the fault at its field
      document.querySelector("main").replaceWith(answer.page.querySelector("main"));
      const anew = document.querySelector("main form[data-outbox]");
      for (const name of ["putRight", "typed"]) if (anew && form.dataset[name]) anew.dataset[name] = form.dataset[name];
      const fault = document.querySelector("main [aria-invalid], main .fault");
      document.dispatchEvent(new Event("skep-form"));
      if (fault) { fault.scrollIntoView({ block: "center" }); if (fault.focus) fault.focus(); }
      return;
    }
    try {
      write(read().filter((other) => other.key !== entry.key && other.key !== form.dataset.putRight).concat([entry]));
    } catch { // the browser keeps nothing: what was typed stays in the form
      delete form.dataset.sent;
      return;
    }
    show();
    form.reset();
    form.replaceWith(Object.assign(document.createElement("p"), {
      className: "note", textContent: "Kept on this device. It is sent as soon as Skep can be reached: leave this page open, or open any page of Skep later.",
    }));
    list.scrollIntoView({ block: "nearest" });
    timer = setTimeout(together, soon);
  });

  // An entry that was refused goes back into its form.
  const key = location.hash.startsWith("#put-right-") ? location.hash.slice(11) : "";
  const refused = read().find((entry) => entry.key === key);
  const form = document.querySelector("main form[data-outbox]");
  if (refused && form) {
    const told = {}; // how many of a name were put back: a form may have several
    for (const [name, value] of refused.fields) {
      told[name] = (told[name] ?? -1) + 1;
      const field = form.querySelectorAll(`[name="${name}"]`)[told[name]];
      if (!field || name === "key") continue;
      field.value = value;
      field.closest("details")?.setAttribute("open", "");
    }
    form.dataset.typed = refused.fields.find(([name]) => name === "typed")[1];
    form.dataset.putRight = key;
  }

  window.addEventListener("hashchange", () => { if (location.hash.startsWith("#put-right-")) location.reload(); });
  window.addEventListener("online", together);
  window.addEventListener("storage", show);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) together(); });
  show();
  if (read().some((entry) => !entry.why)) together();
}
