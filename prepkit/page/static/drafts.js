// What is typed stays in this browser until it is sent; leaving it unsent asks.

const [KEPT, DROP, GO] = document.documentElement.dataset.kept.split("|");
const draft = (key) => "prepkit draft " + key;

each("[data-draft-sent]", (one) => one.dataset.draftSent.split("|").forEach((key) => forget(draft(key))));

each("form[data-draft]", (form) => {
	const key = draft(form.dataset.draft), typed = "typed" in form.dataset;
	const fields = () => [...form.elements].filter((one) => one.name && one.name !== "token" && one.type !== "submit");
	const held = () => fields().filter((one) => !ticked(one) || one.checked).map((one) => [one.name, one.value]);
	const first = JSON.stringify(held()), kept = stored(key);
	const differs = (pairs) => JSON.stringify(pairs) !== first;
	let sending = false;

	const keep = () => {
		const pairs = held();
		if (typed || differs(pairs)) store(key, { at: clock(new Date()), pairs });
	};
	const put = (pairs) => {
		for (const one of fields()) {
			const at = pairs.findIndex((pair) => pair[0] === one.name && (!ticked(one) || pair[1] === one.value));
			if (ticked(one)) one.checked = at >= 0;
			else one.value = at < 0 ? "" : pairs.splice(at, 1)[0][1];
		}
		form.dispatchEvent(new Event("input"));
	};

	if (kept && !typed && differs(kept.pairs)) {
		const told = made("p", { className: "told", role: "status" }, KEPT.replace("@", kept.at));
		const drop = made("button", { type: "button", className: "second" }, DROP);
		on(drop, "click", () => {
			forget(key);
			sending = true;
			location.reload();
		});
		if ("post" in form.dataset) {
			const pairs = [["do", "show"], ["token", form.token.value], ...kept.pairs];
			const again = made("form", { method: "post", action: form.action },
				...pairs.map(([name, value]) => made("textarea", { name, value, hidden: true })), made("button", {}, GO));
			on(again, "submit", () => { sending = true; });
			told.append(again);
		} else put([...kept.pairs]);
		told.append(drop);
		form.before(told);
	}

	if (typed) keep();
	on(form, "input", quiet(300, keep));
	on(form, "submit", () => {
		keep();
		sending = true;
	});
	on(window, "pagehide", () => { if (!sending) keep(); });
	on(window, "pageshow", () => { sending = false; });
	if ("ask" in form.dataset) asks(() => !sending && differs(held()));
});
