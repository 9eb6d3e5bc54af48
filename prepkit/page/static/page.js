// What the page can do quicker with a script; it does everything without one.
"use strict";

document.querySelectorAll("[data-add]").forEach((button) => {
  button.addEventListener("click", (event) => {
    const rows = button.parentElement.querySelector(".rows");
    const all = rows.querySelectorAll("input");
    if (all.length >= Number(rows.dataset.most)) return;
    event.preventDefault();
    const last = all[all.length - 1];
    const next = last.cloneNode(false);
    next.value = "";
    next.removeAttribute("aria-invalid");
    next.id = last.id.replace(/(-\d+)?$/, "-" + (all.length + 1));
    next.setAttribute("aria-label", last.getAttribute("aria-label").replace(/\d+$/, all.length + 1));
    rows.append(next);
    next.focus();
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
  document.querySelectorAll("details.figures:not([open])").forEach((one) => {
    one.open = true;
    addEventListener("afterprint", () => { one.open = false; }, { once: true });
  });
});
