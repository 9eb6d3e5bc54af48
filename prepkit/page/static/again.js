// A part of the page that is fetched again while somebody looks at it; offline, it stays as it was.
"use strict";

document.querySelectorAll("[data-again]").forEach((part) => {
  let told = "";
  setInterval(async () => {
    if (document.hidden || part.contains(document.activeElement)) return;
    const answer = await fetch(part.dataset.again, { redirect: "error" }).catch(() => null);
    const now = answer && answer.ok ? await answer.text() : told;
    if (now !== told) part.innerHTML = told = now;
  }, 3000);
});
