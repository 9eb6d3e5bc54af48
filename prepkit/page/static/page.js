// What the page can do quicker with a script; it does everything without one.
"use strict";

// What was worked on last, kept in this browser alone; the home page lists it.
const RECENT = "prepkit-recent", MOST_RECENT = 6;
const recent = () => stored(RECENT) || [];
const remember = () => {
  const told = the("[data-recent]");
  if (!told) return;
  const view = Math.round(performance.timeOrigin); // one page is one line, however often it changes
  const now = { ...JSON.parse(told.dataset.recent), at: Date.now(), view };
  const others = recent().filter((one) => one.view !== view && one.to !== now.to);
  store(RECENT, [now, ...others].slice(0, MOST_RECENT));
};
remember();
on(document, "recent", remember);

each("[data-recents]", (place) => {
  const told = recent().filter((one) => /^\/(?!\/)/.test(one.to));
  if (!told.length) return;
  const when = (at) => {
    const day = new Date(at), days = (Date.now() - at) / 864e5;
    if (day.toDateString() === new Date().toDateString()) return clock(day);
    return day.toLocaleDateString("en-GB", days < 6 ? { weekday: "short" } : { day: "numeric", month: "short" });
  };
  the("ul", place).append(...told.map(({ to, name, word, say, at }) => made("li", {}, made("a", { href: to },
    made("span", { className: `sig ${word}` }, word),
    made("span", {}, made("b", {}, name), made("i", {}, say)),
    made("small", {}, when(at))))));
  place.hidden = false;
  on(the("[data-forget-all]", place), "click", () => {
    forget(RECENT);
    place.hidden = true;
  });
});

each("[data-copy]", (button) => {
  if (!navigator.clipboard) return;
  button.closest(".script-only").hidden = false;
  on(button, "click", async () => {
    const told = the("[data-copied]", button.parentElement);
    told.textContent = await navigator.clipboard.writeText(location.href).then(
      () => "Copied.", () => "It could not be copied; take it from the browser's own line.");
  });
});

// On paper nothing is folded away that a cook checks by; afterwards each is as it was.
on(window, "beforeprint", () => {
  each(":is(details.figures, details.fold):not([open])", (one) => {
    one.open = true;
    addEventListener("afterprint", () => { one.open = false; }, { once: true });
  });
});

// The last sheets stay readable when the laptop sleeps, where the browser allows that.
if (document.documentElement.dataset.keep && navigator.serviceWorker) {
  navigator.serviceWorker.register("/keep.js").catch(() => {});
}
