// What is typed into a form stays in this browser until it is sent; leaving it unsent asks.
"use strict";

const draft = (key) => "prepkit draft " + key;
const ticked = (one) => one.type === "checkbox" || one.type === "radio";
const make = (tag, more) => Object.assign(document.createElement(tag), more);

document.querySelectorAll("[data-draft-sent]").forEach((one) => {
  one.dataset.draftSent.split("|").forEach((key) => localStorage.removeItem(draft(key)));
});

document.querySelectorAll("form[data-draft]").forEach((form) => {
  const key = draft(form.dataset.draft);
  const fields = () => [...form.elements].filter((one) => one.name && one.name !== "token" && one.type !== "submit");
  const held = () => fields().filter((one) => !ticked(one) || one.checked).map((one) => [one.name, one.value]);
  const first = JSON.stringify(held());
  const kept = JSON.parse(localStorage.getItem(key) || "null");
  const typed = "typed" in form.dataset;
  let sending = false;
  let wait = 0;

  const keep = () => {
    clearTimeout(wait);
    const pairs = held();
    if (JSON.stringify(pairs) === first && !typed) return;
    try {
      localStorage.setItem(key, JSON.stringify({ at: new Date().toTimeString().slice(0, 5), pairs }));
    } catch {
      // no room in this browser: the form still asks before it is left
    }
  };

  const put = (pairs) => {
    for (const one of fields()) {
      const at = pairs.findIndex((pair) => pair[0] === one.name && (!ticked(one) || pair[1] === one.value));
      if (ticked(one)) one.checked = at >= 0;
      else one.value = at < 0 ? "" : pairs.splice(at, 1)[0][1];
    }
    form.dispatchEvent(new Event("input"));
  };

  if (kept && !typed && JSON.stringify(kept.pairs) !== first) {
    const told = make("p", { className: "told", textContent: `What you typed at ${kept.at} is kept here. It is not sent yet. ` });
    told.setAttribute("role", "status");
    const drop = make("button", { type: "button", className: "second", textContent: "Throw it away" });
    drop.addEventListener("click", () => {
      localStorage.removeItem(key);
      sending = true;
      location.reload();
    });
    if ("post" in form.dataset) {
      const again = make("form", { method: "post", action: form.action });
      for (const [name, value] of [["do", "show"], ["token", form.token.value], ...kept.pairs]) again.append(make("textarea", { name, value, hidden: true }));
      again.append(make("button", { textContent: "Go on with it" }));
      again.addEventListener("submit", () => { sending = true; });
      told.append(again);
    } else put([...kept.pairs]);
    told.append(drop);
    form.before(told);
  }

  if (typed) keep();
  form.addEventListener("input", () => {
    clearTimeout(wait);
    wait = setTimeout(keep, 300);
  });
  form.addEventListener("submit", () => {
    keep();
    sending = true;
  });
  addEventListener("pagehide", () => { if (!sending) keep(); });
  addEventListener("pageshow", () => { sending = false; });
  if ("ask" in form.dataset) {
    addEventListener("beforeunload", (event) => {
      if (!sending && JSON.stringify(held()) !== first) event.preventDefault();
    });
  }
});
