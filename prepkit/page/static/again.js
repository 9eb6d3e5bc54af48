// A part that is fetched again while somebody looks.

each("[data-again]", (part) => {
	let told = "";
	setInterval(async () => {
		if (document.hidden || part.contains(document.activeElement)) return;
		const answer = await fetch(part.dataset.again, { redirect: "error" }).catch(() => null);
		const now = answer?.ok ? await answer.text() : told;
		if (now !== told) part.innerHTML = told = now;
	}, 3000);
});
