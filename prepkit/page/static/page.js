
// What was worked on last, kept in this browser alone. Without scripts all else works.
const RECENT = "prepkit-recent", MOST_RECENT = 6;
const recent = () => stored(RECENT) || [];
const remember = () => {
	const told = the("[data-recent]");
	if (!told) return;
	const view = Math.round(performance.timeOrigin); // one page is one line
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
		const day = new Date(at);
		return Date.now() - at < 432e5 ? clock(day) : day.toLocaleDateString("en-GB", { day: "numeric", month: "short" });
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
			() => "Copied.", () => "Not copied; take it from the address line.");
	});
});

// On paper nothing that a cook checks by is folded away.
on(window, "beforeprint", () => {
	each(":is(details.figures, details.fold):not([open])", (one) => {
		one.open = true;
		addEventListener("afterprint", () => { one.open = false; }, { once: true });
	});
});

// The last sheets stay readable when the laptop sleeps: by a worker where there is one, and in this
// tab.
const { who, keep } = document.documentElement.dataset, PAGES = "prepkit-pages", main = the("main");
if (who) navigator.serviceWorker?.register("/keep.js").catch(() => {});
const bare = (url) => url.split("#")[0];
const pages = () => stored(PAGES)?.pages || [];
if (stored(PAGES)?.who !== who) forget(PAGES);
let gone = false; // what is shown is a copy
const save = () => {
	const url = bare(location.href), others = pages().filter((one) => one[0] !== url);
	const now = [url, document.title, new Date().toLocaleString(), main.innerHTML];
	for (let most = 9; keep && !gone && most && !store(PAGES, { who, pages: [now, ...others].slice(0, most) });) most--;
};
on(window, "pagehide", save);
const bar = made("p", { className: "kept", role: "status" });
const say = (...words) => {
	bar.replaceChildren(...words);
	document.body.prepend(bar);
};
const show = (copy) => {
	save();
	gone = true;
	say(`${copy ? `Kept copy of ${copy[2]}. ` : ""}The laptop does not answer, and nothing can be saved. Kept here: `,
		...pages().map(([href, name]) => made("a", { href }, `${name}. `)));
	if (copy) [, document.title, , main.innerHTML] = copy;
	each("main button", (one) => { one.disabled = true; });
	scrollTo(0, 0);
};
on(document, "click", async (e) => {
	const { href, hash, origin, target } = e.target.closest("a[href]") || {};
	if (origin !== location.origin || target || e.defaultPrevented || e.ctrlKey || e.metaKey || e.shiftKey
		|| (hash && bare(href) === bare(location.href)) || !pages().length) return;
	e.preventDefault();
	const copy = pages().find(([url]) => url === bare(href));
	let left = false;
	const put = () => {
		left = true;
		show(copy);
		location.hash = hash;
	};
	const wait = setTimeout(say, 4000, "Waiting for the laptop. ",
		made("button", { onclick: put }, copy ? `Show the copy of ${copy[2]}` : "Show what is kept"));
	await fetch("/keep.js", { cache: "no-store" }).then(() => left || location.assign(href), put);
	clearTimeout(wait);
});
