// What the page can do quicker with a script; it does everything without one.
"use strict";

// What was worked on last is kept in this browser alone: an element with data-recent says it, as
// JSON of {to, name, word, say}. The home page lists it.
const RECENT = "prepkit-recent", MOST_RECENT = 6;
const recent = () => {
  try { return JSON.parse(localStorage.getItem(RECENT)) || []; } catch { return []; }
};
const remember = () => {
  const told = document.querySelector("[data-recent]");
  if (!told) return;
  const view = Math.round(performance.timeOrigin); // one page is one line, however often it changes
  const now = { ...JSON.parse(told.dataset.recent), at: Date.now(), view };
  const others = recent().filter((one) => one.view !== view && one.to !== now.to);
  try { localStorage.setItem(RECENT, JSON.stringify([now, ...others].slice(0, MOST_RECENT))); } catch { /* full */ }
};
remember();
document.addEventListener("recent", remember);

document.querySelectorAll("[data-recents]").forEach((place) => {
  const told = recent().filter((one) => /^\/(?!\/)/.test(one.to));
  if (!told.length) return;
  const when = (at) => {
    const day = new Date(at), days = (Date.now() - at) / 864e5;
    if (day.toDateString() === new Date().toDateString()) return day.toTimeString().slice(0, 5);
    return day.toLocaleDateString("en-GB", days < 6 ? { weekday: "short" } : { day: "numeric", month: "short" });
  };
  const made = (tag, words, name) => {
    const one = document.createElement(tag);
    one.textContent = words;
    if (name) one.className = name;
    return one;
  };
  place.querySelector("ul").append(...told.map((one) => {
    const row = document.createElement("li"), link = document.createElement("a"), words = document.createElement("span");
    link.href = one.to;
    words.append(made("b", one.name), made("i", one.say));
    link.append(made("span", one.word, `sig ${one.word}`), words, made("small", when(one.at)));
    row.append(link);
    return row;
  }));
  place.hidden = false;
  place.querySelector("[data-forget-all]").addEventListener("click", () => {
    localStorage.removeItem(RECENT);
    place.hidden = true;
  });
});

document.querySelectorAll("[data-copy]").forEach((button) => {
  if (!navigator.clipboard) return;
  button.closest(".script-only").hidden = false;
  button.addEventListener("click", async () => {
    const told = button.parentElement.querySelector("[data-copied]");
    try {
      await navigator.clipboard.writeText(location.href);
      told.textContent = "Copied.";
    } catch {
      told.textContent = "It could not be copied; take it from the browser's own line.";
    }
  });
});

// On paper nothing is folded away that a cook checks by; afterwards each is as it was.
addEventListener("beforeprint", () => {
  document.querySelectorAll(":is(details.figures, details.fold):not([open])").forEach((one) => {
    one.open = true;
    addEventListener("afterprint", () => { one.open = false; }, { once: true });
  });
});

// The last sheets stay readable when the laptop sleeps, where the browser allows that.
if (document.documentElement.dataset.keep && navigator.serviceWorker) {
  navigator.serviceWorker.register("/keep.js").catch(() => {});
}
