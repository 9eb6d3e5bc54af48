// The batch sheet: ticks and readings are saved in place, kept here until then; timers of steps.

(() => {
const bench = the(".bench[data-batch]");
if (!bench) return;
const KEY = "prepkit " + bench.dataset.batch;

const kept = { queue: [], drafts: {}, timers: {}, ...stored(KEY) };
const keep = () => store(KEY, kept);

let saved = "";
const tell = () => each("[data-status]", (one) => {
	const unsaved = kept.queue.length;
	one.textContent = unsaved ? `${unsaved} not saved` : saved && `saved ${saved}`;
	one.classList.toggle("unsaved-now", unsaved > 0);
});

let busy = false, stuck = false, leaving = false;
const line = (fields) => (fields.tick || fields.untick || "").split("~")[0];
const problem = (item, words) => {
	const told = the(`[data-told="${item}"]`);
	if (!told) return;
	told.textContent = words;
	told.hidden = !words;
	if (words) told.scrollIntoView({ block: "nearest" });
};

async function send() {
	if (busy || stuck) return;
	busy = true;
	while (kept.queue.length) {
		const { to, fields } = kept.queue[0];
		let answer, said;
		try {
			answer = await fetch(to, {
				method: "POST", headers: { Accept: "application/json" }, redirect: "error",
				body: new URLSearchParams({ ...fields, token: the("input[name=token]").value }),
			});
			said = await answer.json();
		} catch { /* judged below */ }
		if (!answer || answer.status >= 500 || (answer.ok && !said)) {
			setTimeout(send, 5000);
			break;
		}
		if ([403, 413].includes(answer.status)) { // started again, or read only
			stuck = true;
			problem(fields.item, "Not saved. Open the sheet again; what you ticked and typed is kept here.");
			break;
		}
		kept.queue.shift();
		keep();
		if (answer.ok) done(fields, said);
		else refused(fields, said || {});
		tell();
	}
	busy = false;
	tell();
}

function done(fields, said) {
	saved = said.saved;
	if (said.go) for (const name of ["value", "temperature", "what"]) delete kept.drafts[`${name}.${fields.item}`];
	if (said.go || said.stopped !== bench.dataset.stopped) { // a stop by another
		keep();
		leaving = true;
		if (said.go) history.replaceState(null, "", said.go);
		return location.reload();
	}
	replaced(line(fields), said.line);
	each(`[data-count="${fields.item}"]`, (one) => { one.textContent = said.item; });
	each("[data-all]", (one) => { one.textContent = said.all; });
	problem(fields.item, "");
}

function refused(fields, said) {
	if (fields.save) { // shown with all that follows from it
		leaving = true;
		return the(`[data-save="${fields.item}"]`)?.submit();
	}
	problem(fields.item, said.problem || "Not saved; open the sheet again.");
	if (said.line) replaced(line(fields), said.line);
	else byId(line(fields))?.classList.remove("unsaved");
}

function replaced(id, html) {
	const button = byId(id);
	if (!button || !html) return;
	const focused = document.activeElement === button;
	const row = the("li", new DOMParser().parseFromString(html, "text/html"));
	button.closest("li").replaceWith(row);
	timers(row);
	if (focused) byId(id)?.focus({ preventScroll: true });
}

// a line that is not saved yet
function shown(button, ticked) {
	button.classList.add("unsaved");
	button.classList.toggle("done", ticked);
	button.setAttribute("aria-pressed", ticked);
	the(".square", button).textContent = ticked ? "✓" : "";
}

on(document, "submit", (e) => {
	const form = e.target, button = e.submitter;
	if (!button || !("ticks" in form.dataset || "save" in form.dataset)) return;
	e.preventDefault();
	const fields = Object.fromEntries(new FormData(form, button));
	delete fields.token;
	const id = line(fields), place = id ? kept.queue.findIndex((one) => line(one.fields) === id) : -1;
	if (place === 0 && busy) return; // on its way
	if (id) shown(button, ("tick" in fields) === (place < 0));
	else {
		problem(fields.item, "");
		if (!busy) kept.queue = kept.queue.filter(({ fields: of }) => !("save" in of && of.item === fields.item));
	}
	if (place < 0) kept.queue.push({ to: form.getAttribute("action"), fields });
	else { // not sent yet: taken back
		kept.queue.splice(place, 1);
		button.classList.remove("unsaved");
	}
	keep();
	tell();
	send();
});
on(window, "online", send);
on(document, "visibilitychange", () => { if (!document.hidden) send(); });

const fields = all("[data-draft], [data-what]");
fields.forEach((field) => {
	field.dataset.first = field.value;
	field.value = kept.drafts[field.name] ?? field.value;
	on(field, "input", () => {
		if (field.value === field.dataset.first) delete kept.drafts[field.name];
		else kept.drafts[field.name] = field.value;
		keep();
	});
});
asks(() => !leaving && (kept.queue.length ||
	fields.some(({ value, dataset }) => "draft" in dataset && value !== dataset.first)));

// the instrument: its unit, its reading
each("[data-what]", (chooser) => {
	const item = chooser.name.slice("what.".length);
	const value = byId(`value-${item}`), warm = the(`[data-warm-of="${item}"]`);
	const show = (changed) => {
		const one = chooser.selectedOptions[0]?.dataset;
		if (!one) return;
		the(`[data-unit-of="${item}"]`).textContent = one.unit;
		if (warm) warm.hidden = !("warm" in one);
		if (changed && (value.value === value.dataset.first || value.value === "")) {
			value.value = value.dataset.first = one.kept;
			delete kept.drafts[value.name];
			keep();
		}
	};
	on(chooser, "change", () => show(true));
	show(false);
});

// timers of steps
const { title } = document;
let sound = null, rung = 0;
const left = (one) => one.left ?? one.end - Date.now(); // left: it was paused
const counted = (ms) => {
	const s = Math.abs(Math.round(ms / 1000)), hours = Math.floor(s / 3600);
	const two = (n) => String(Math.floor(n) % 60).padStart(2, "0");
	return (ms < -500 ? "+" : "") + (hours ? `${hours}:` : "") + `${two(s / 60)}:${two(s)}`;
};
const awake = () => { try { sound ??= new AudioContext(); sound.resume(); } catch { /* no sound here */ } };
on(window, "pointerdown", () => { if (Object.keys(kept.timers).length) awake(); });

function ring() {
	if (Date.now() - rung < 20000) return;
	rung = Date.now();
	navigator.vibrate?.([300, 150, 300]);
	awake();
	const tone = sound?.createOscillator();
	tone?.connect(sound.destination);
	tone?.start();
	tone?.stop(sound.currentTime + 0.6);
}

function timers(root = document) {
	all("[data-timer]", root).forEach((box) => {
		const { timer: id, minutes, words } = box.dataset;
		box.hidden = false;
		on(the("button", box), "click", () => {
			const now = kept.timers[id] || { left: minutes * 60000 };
			const { item } = box.closest("[data-item]").dataset;
			if ("left" in now) kept.timers[id] = { end: Date.now() + now.left, words, item };
			else if (left(now) > 0) kept.timers[id] = { left: left(now), words, item };
			else delete kept.timers[id];
			keep();
			awake();
			run();
		});
	});
	run();
}

function run() {
	const [first] = Object.values(kept.timers).filter((one) => "end" in one).sort((a, b) => a.end - b.end);
	each("[data-timer]", (box) => {
		const now = kept.timers[box.dataset.timer], ms = now ? left(now) : box.dataset.minutes * 60000;
		const over = !!now && ms < 500;
		the("output", box).textContent = counted(ms);
		the("button", box).textContent = !now ? "Start" : "left" in now ? "Go on" : over ? "Stop" : "Pause";
		box.classList.toggle("over", over);
		box.classList.toggle("runs", !!now);
	});
	const rings = first && left(first) < 500;
	if (rings) ring();
	document.title = first ? `${rings ? "TIME:" : counted(left(first))} ${first.words}` : title;
}
setInterval(run, 500);

const open = () => {
	for (let one = byId(location.hash.slice(1))?.closest("details"); one; one = one.parentElement.closest("details")) one.open = true;
};
on(window, "hashchange", open);
open();

kept.queue.forEach(({ fields: of }) => {
	const button = byId(line(of));
	if (button) shown(button, "tick" in of);
});
// what must not be gone on with rings no more
for (const id in kept.timers) if (bench.dataset.stopped.split(" ").includes(kept.timers[id].item)) delete kept.timers[id];
keep();
timers();
tell();
send();
})();
