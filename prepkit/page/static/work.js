// A calculator's form: steps, sliders, drafts, and the answer while it changes.

(() => {
const form = the("form[data-live]");
if (!form) return;
const box = form.closest(".beside-form");
let answered = box.matches(".answered"), asking = null;
const part = (name) => byId(`answer-${name}`);
const DRAFT = `prepkit-draft:${location.pathname}`, LAST = `prepkit-last:${location.pathname}`;
const change = (input, value) => {
	input.value = value;
	input.dispatchEvent(new Event("input", { bubbles: true }));
};

// a number by a button, an arrow key or a slider
const NUMBER = /^(\s*)(-?\d+(?:[.,]\d+)?)(?![\d.,/])(.*)$/;
const read = (text) => {
	const found = NUMBER.exec(text);
	return found && { head: found[1], words: found[2], value: +found[2].replace(",", "."), tail: found[3] };
};
const nice = (size) => {
	const ten = 10 ** Math.floor(Math.log10(size));
	return ten * (size >= 5 * ten ? 5 : size >= 2 * ten ? 2 : 1);
};
const places = (number) => (String(number).split(/[.,]/)[1] || "").length;
const limits = ({ dataset: { low = -Infinity, high = Infinity, by = 0 } }) => ({ low: +low, high: +high, by: +by });
const write = (input, number, now, decimals) => {
	const text = number.toFixed(Math.min(6, decimals));
	change(input, now ? now.head + (now.words.includes(",") ? text.replace(".", ",") : text) + now.tail : text);
};
const steps = new WeakMap();
const stepped = (input, way) => {
	const now = read(input.value), { low, high, by } = limits(input), { start } = input.dataset;
	if (!now) {
		if (!input.value.trim() && start) change(input, start);
		return;
	}
	if (!steps.has(input)) steps.set(input, by || nice(Math.abs(now.value) / 10 || 1));
	const step = steps.get(input), next = now.value + way * step;
	const none = low === 0 || start === undefined; // nothing is left blank
	if (next < low || next > high || (none && next < step / 2)) return;
	write(input, next, now, Math.max(places(step), places(now.words)));
};
// arrow keys do it in the field
const buttons = (input, label) => [["\u2212", "Less", -1], ["+", "More", 1]].map(([sign, word, way]) => {
	const one = made("button", { type: "button", tabIndex: -1, className: "plain", "aria-label": `${word}: ${label}` }, sign);
	on(one, "click", () => stepped(input, way));
	return one;
});
const slider = (input, label) => {
	const one = made("input", { type: "range", tabIndex: -1, "aria-label": `Slide: ${label}` });
	const { low, high, by } = limits(input);
	const set = () => {
		if (one.matches(":active")) return;
		const now = read(input.value), value = now ? now.value : +input.dataset.start;
		one.min = by && low > -Infinity ? low : 0;
		one.max = Math.min(high, by ? 100 : 2 * Math.abs(value) || 1);
		one.step = by || nice((one.max - one.min) / 100);
		one.value = now ? value : one.min;
	};
	on(one, "input", () => {
		const value = +one.value;
		if (value > 0 || low < 0 || by) write(input, value, read(input.value), places(+(+one.step).toPrecision(3)));
	});
	on(input, "input", set);
	set();
	return one;
};
const fit = (input) => {
	const row = input.closest(".step");
	const label = input.getAttribute("aria-label") || the(`label[for="${input.id}"]`, form).firstChild.textContent.trim();
	if (row && input.dataset.start) {
		const [less, more] = buttons(input, label);
		input.before(less);
		input.after(more);
		the("label", row).after(slider(input, label));
	} else if ("amounts" in input.dataset && answered && read(input.value)) {
		const amount = made("span", { className: "amount" });
		input.replaceWith(amount);
		amount.append(input, ...buttons(input, label));
	}
};
each("[data-start], [data-amounts]", fit);
on(form, "keydown", (e) => {
	const way = { ArrowUp: 1, ArrowDown: -1 }[e.key];
	if (!way || !e.target.dataset.start) return;
	e.preventDefault();
	stepped(e.target, way);
});

const grow = (rows) => {
	const inputs = all("input", rows), count = inputs.length + 1, last = inputs.at(-1);
	if (count > +rows.dataset.most) return;
	const next = last.cloneNode(false);
	next.value = "";
	next.removeAttribute("aria-invalid");
	next.id = last.id.replace(/(-\d+)?$/, `-${count}`);
	next.setAttribute("aria-label", last.getAttribute("aria-label").replace(/\d+$/, count));
	rows.append(next);
	fit(next);
	return next;
};

// words into the form; other fields keep what they have
const fill = (pairs) => {
	new Set(pairs.map(([name]) => name)).forEach((name) => {
		const values = pairs.filter(([one]) => one === name).map(([, value]) => value);
		const fields = all(`[name="${CSS.escape(name)}"]:not([type=hidden], [type=submit])`, form);
		const rows = fields[0]?.closest(".rows");
		for (let next; rows && fields.length < values.length && (next = grow(rows));) fields.push(next);
		fields.forEach((one, at) => {
			if (ticked(one)) one.checked = values.includes(one.value);
			else one.value = values[at] ?? "";
			if (values[at]) one.closest("details")?.setAttribute("open", "");
		});
	});
	each("[data-start]", (one) => one.dispatchEvent(new Event("input")));
};
on(form, "click", (e) => {
	const more = e.target.closest("[data-add]"), plate = e.target.closest("[data-fill]");
	const next = more && grow(the(".rows", more.parentElement));
	if (next || plate) e.preventDefault();
	next?.focus();
	if (plate) { fill(JSON.parse(plate.dataset.fill)); touched(); }
});
const said = () => [...new FormData(form)].filter(([name, value]) => value !== "" && name !== ".go");

// a stop stays in view, nothing milder does until the new answer is here
const stale = (yes) => {
	box.classList.toggle("on-stop", yes && !!the(".verdict.stop", part("top")));
	box.classList.toggle("waiting", yes);
	box.ariaBusy = yes;
};
const bare = (summary) => summary.textContent.replace(/\d/g, "");
const show = (got) => {
	const rest = part("rest"), open = new Set(all("[open] > summary", rest).map(bare));
	["top", "rest", "hold", "foot"].forEach((name) => { part(name).innerHTML = got[name] || ""; });
	all("summary", rest).forEach((one) => { if (open.has(bare(one))) one.parentElement.open = true; });
	part("foot").hidden = !got.foot;
	document.title = `${got.title || "Not yet"} - prepkit`;
	part("said").textContent = got.said || "";
	all(".problem", form).forEach((one) => one.remove());
	all("[aria-invalid]", form).forEach((one) => one.removeAttribute("aria-invalid"));
	(got.problems || []).forEach(([id]) => byId(id)?.setAttribute("aria-invalid", "true"));
	stale(false);
};
const ask = async () => {
	asking?.abort();
	const mine = asking = new AbortController();
	const limit = setTimeout(() => mine.abort(), 10000);
	try {
		const words = new URLSearchParams(said());
		let reply, got;
		for (const first of ["&.first=1", ""]) {
			reply = await fetch(`${form.dataset.live}?${words}${first}`, { signal: mine.signal });
			got = await reply.json();
			if (mine !== asking) return;
			if (!got.more) break;
			show(got); // a stop, before its ways out
		}
		if (reply.ok) {
			answered = true;
			box.classList.replace("asking", "answered");
			show(got);
			history.replaceState({ typed: said() }, "", got.address);
			store(LAST, got.address.split("?")[1]);
			forget(DRAFT);
			document.dispatchEvent(new Event("recent"));
		} else if (!answered) stale(false);
		else if (got.top) show(got);
		else throw reply.status;
	} catch {
		if (mine === asking) show({ top: '<p class="problem">Not worked out: the page does not answer. Press “Work it out”.</p>' });
	} finally {
		clearTimeout(limit);
	}
};
const soon = quiet(60, ask);
const touched = () => {
	history.replaceState({ typed: said() }, "");
	if (!answered) store(DRAFT, said());
	if (!answered && !matchMedia("(min-width: 60rem)").matches) return;
	stale(true);
	soon();
};
on(form, "input", ({ target }) => { if (target.name) touched(); });
on(form, "submit", () => forget(DRAFT));

// what was typed before
const back = history.state?.typed, draft = stored(DRAFT) || [];
if (back && JSON.stringify(back) !== JSON.stringify(said())) {
	fill(back);
	if (answered) { stale(true); ask(); }
} else if (!location.search && draft.some(([name]) => !/^\.|\.unit$/.test(name))) {
	fill(draft);
	the("[data-back]").hidden = false;
}
on(the("[data-forget]"), "click", () => {
	forget(DRAFT);
	history.replaceState(null, "");
	location.assign(location.pathname);
});
if (answered && location.search) store(LAST, location.search.slice(1));
const last = the("[data-last]"), words = stored(LAST);
if (last && words) Object.assign(last, { href: `?${words}&.edit=1`, hidden: false });
})();
