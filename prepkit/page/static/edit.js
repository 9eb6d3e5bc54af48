// Line numbers beside the text of a recipe, and its form checked while it is typed.

each("[data-lines]", (box) => {
	const text = the("textarea", box), gutter = made("pre", { className: "gutter", "aria-hidden": "true" });
	box.prepend(gutter);
	const lines = () => text.value.split("\n");
	const scroll = () => { gutter.scrollTop = text.scrollTop; };
	const count = () => {
		gutter.textContent = lines().map((_, n) => n + 1).join("\n") + "\n\n";
		scroll();
	};
	on(text.form, "input", count);
	on(text, "scroll", scroll);
	count();
	each('.problems a[href^="#l"]', (link) => on(link, "click", (e) => {
		e.preventDefault();
		const rows = lines(), line = +link.hash.slice(2);
		const start = rows.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
		text.focus();
		text.setSelectionRange(start, start + (rows[line - 1] || "").length);
		text.scrollTop = (text.scrollHeight / rows.length) * Math.max(0, line - 6);
	}));
});

each("[data-live]", (told) => {
	const form = told.closest("form");
	let turn = 0;
	on(form, "input", quiet(700, async () => {
		const mine = ++turn, body = new FormData(form);
		body.set("do", "live");
		try {
			const answer = await fetch(form.action, { method: "POST", body, redirect: "error" });
			const text = await answer.text();
			if (mine === turn && answer.status === 200) told.innerHTML = text;
		} catch {
			told.textContent = "The laptop does not answer. What you type stays in this browser.";
		}
	}));
});
