// A part of the page that is fetched again and again while somebody looks at it.
"use strict";

document.querySelectorAll("[data-again]").forEach((part) => {
  let told = part.innerHTML.trim();
  setInterval(async () => {
    if (document.hidden || part.contains(document.activeElement)) return;
    try {
      const answer = await fetch(part.dataset.again, { redirect: "error" });
      if (!answer.ok) return;
      const now = (await answer.text()).trim();
      if (now !== told) part.innerHTML = told = now;
    } catch {
      // the laptop does not answer: what is shown stays
    }
  }, 3000);
});
