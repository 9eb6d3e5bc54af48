// Line numbers beside the text of a recipe, and its form checked while it is typed.
"use strict";

document.querySelectorAll("[data-lines]").forEach((box) => {
  const text = box.querySelector("textarea");
  const gutter = document.createElement("pre");
  gutter.className = "gutter";
  gutter.setAttribute("aria-hidden", "true");
  box.prepend(gutter);
  const count = () => {
    gutter.textContent = text.value.split("\n").map((_, n) => n + 1).join("\n") + "\n\n";
    gutter.scrollTop = text.scrollTop;
  };
  text.addEventListener("input", count);
  text.form.addEventListener("input", count);
  text.addEventListener("scroll", () => { gutter.scrollTop = text.scrollTop; });
  count();
  document.querySelectorAll('.problems a[href^="#l"]').forEach((link) => {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      const rows = text.value.split("\n");
      const line = Number(link.hash.slice(2));
      const start = rows.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
      text.focus();
      text.setSelectionRange(start, start + (rows[line - 1] || "").length);
      text.scrollTop = (text.scrollHeight / rows.length) * Math.max(0, line - 6);
    });
  });
});

document.querySelectorAll("[data-live]").forEach((told) => {
  const form = told.closest("form");
  let wait = 0;
  let turn = 0;
  form.addEventListener("input", () => {
    clearTimeout(wait);
    wait = setTimeout(async () => {
      const mine = ++turn;
      const body = new FormData(form);
      body.set("do", "live");
      try {
        const answer = await fetch(form.action, { method: "POST", body, redirect: "error" });
        const text = await answer.text();
        if (mine === turn && answer.status === 200) told.innerHTML = text;
      } catch {
        told.textContent = "The laptop does not answer. What you type stays in this browser.";
      }
    }, 700);
  });
});
