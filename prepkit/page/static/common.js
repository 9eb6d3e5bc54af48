// What the scripts share.

const all = (query, root = document) => [...root.querySelectorAll(query)];
const the = (query, root = document) => root.querySelector(query);
const each = (query, act) => all(query).forEach(act);
const byId = (id) => document.getElementById(id);
const on = (target, name, act) => target.addEventListener(name, act);
const asks = (unsent) => on(window, "beforeunload", (e) => { if (unsent()) e.preventDefault(); });
const clock = (day) => day.toTimeString().slice(0, 5);

const made = (tag, more = {}, ...inside) => {
	const one = document.createElement(tag);
	for (const [key, value] of Object.entries(more)) {
		if (key in one) one[key] = value;
		else one.setAttribute(key, value);
	}
	one.append(...inside);
	return one;
};

const ticked = (one) => /radio|checkbox/.test(one.type);
const quiet = (ms, act) => {
	let wait = 0;
	return () => {
		clearTimeout(wait);
		wait = setTimeout(act, ms);
	};
};

// nothing in a private window
const stored = (key) => { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } };
const store = (key, value) => { try { localStorage.setItem(key, JSON.stringify(value)); return true; } catch { return false; } };
const forget = (key) => { try { localStorage.removeItem(key); } catch { /* none */ } };
