// The batch sheet at the bench: ticks and readings are saved in place, kept here until they are, and
// timers run over a reload. Without a script its forms do the same, but for the timers.
"use strict";

(() => {
const bench = document.querySelector(".bench[data-batch]");
if (!bench) return;
const all = (words, root = document) => [...root.querySelectorAll(words)];
const KEY = "prepkit " + bench.dataset.batch;
const WAIT = 5000;

// what is kept in this browser: lines to send, text that was typed, timers
const kept = { queue: [], drafts: {}, timers: {} };
try { Object.assign(kept, JSON.parse(localStorage.getItem(KEY) || "{}")); } catch { /* nothing kept */ }
const keep = () => { try { localStorage.setItem(KEY, JSON.stringify(kept)); } catch { /* private */ } };

const status = (words, bad = false) => all("[data-status]").forEach((one) => {
  one.textContent = words;
  one.classList.toggle("unsaved-now", bad);
});
let saved = "";
const tell = () => status(kept.queue.length ? `${kept.queue.length} not saved` : saved && `saved ${saved}`, kept.queue.length > 0);

// ticks and readings, one after the other
let busy = false, stuck = false, leaving = false;
const line = (fields) => (fields.tick || fields.untick || "").split("~")[0];
const problem = (item, words) => {
  const told = all("[data-told]").find((one) => one.dataset.told === item);
  if (told) { told.textContent = words; told.hidden = !words; if (words) told.scrollIntoView({ block: "nearest" }); }
};

async function send() {
  if (busy || stuck) return;
  busy = true;
  while (kept.queue.length) {
    const { to, fields } = kept.queue[0];
    let answer, said = {};
    try {
      const token = document.querySelector('input[name="token"]').value;
      answer = await fetch(to, {
        method: "POST", headers: { Accept: "application/json" }, redirect: "error",
        body: new URLSearchParams({ ...fields, token }),
      });
      said = await answer.json();
    } catch {
      if (!answer || answer.status >= 500 || answer.ok) { tell(); setTimeout(send, WAIT); break; }
    }
    if (answer.status === 403 || answer.status === 413) { // the page was started again, or is read only
      stuck = true;
      tell();
      problem(fields.item, "Not saved. Open the sheet again; what you ticked and typed is kept here.");
      break;
    }
    if (answer.status >= 500) { tell(); setTimeout(send, WAIT); break; }
    kept.queue.shift();
    keep();
    if (answer.ok) done(fields, said); else refused(fields, said);
    tell();
  }
  busy = false;
}

function done(fields, said) {
  saved = said.saved;
  if (said.go) {
    for (const name of ["value", "temperature", "what"]) delete kept.drafts[`${name}.${fields.item}`];
    keep();
    leaving = true;
    history.replaceState(null, "", said.go);
    location.reload();
    return;
  }
  replaced(line(fields), said.line);
  all("[data-count]").filter((one) => one.dataset.count === fields.item).forEach((one) => { one.textContent = said.item; });
  all("[data-all]").forEach((one) => { one.textContent = said.all; });
  problem(fields.item, "");
}

function refused(fields, said) {
  problem(fields.item, said.problem || "Not saved; open the sheet again.");
  if (said.line) replaced(line(fields), said.line);
  else document.getElementById(line(fields))?.classList.remove("unsaved");
}

function replaced(id, html) {
  const button = document.getElementById(id);
  if (!button || !html) return;
  const focused = document.activeElement === button;
  const row = new DOMParser().parseFromString(html, "text/html").querySelector("li");
  button.closest("li").replaceWith(row);
  timers(row);
  if (focused) document.getElementById(id)?.focus({ preventScroll: true });
}

// how a line looks that is not saved yet
function shown(button, name) {
  const on = name === "tick";
  button.classList.add("unsaved");
  button.classList.toggle("done", on);
  button.setAttribute("aria-pressed", String(on));
  button.querySelector(".square").textContent = on ? "✓" : "";
}

document.addEventListener("submit", (event) => {
  const form = event.target, button = event.submitter;
  if (!button || !("ticks" in form.dataset || "save" in form.dataset)) return;
  event.preventDefault();
  const fields = Object.fromEntries(new FormData(form, button));
  delete fields.token;
  const id = line(fields);
  if (id) {
    const place = kept.queue.findIndex((one) => line(one.fields) === id);
    if (place >= 0 && (place > 0 || !busy)) { // not sent yet: taken back
      kept.queue.splice(place, 1);
      shown(button, "tick" in fields ? "untick" : "tick");
      button.classList.remove("unsaved");
      keep();
      tell();
      return;
    }
    if (place >= 0) return; // on its way
    shown(button, button.name);
  } else {
    problem(fields.item, "");
    kept.queue = kept.queue.filter((one) => !("save" in one.fields && one.fields.item === fields.item) || busy);
  }
  kept.queue.push({ to: form.getAttribute("action"), fields });
  keep();
  tell();
  send();
});
addEventListener("online", send);
document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });

// drafts of readings
const fields = all("[data-draft], [data-what]");
fields.forEach((field) => {
  field.dataset.first = field.value;
  const draft = kept.drafts[field.name];
  if (draft !== undefined) field.value = draft;
  field.addEventListener("input", () => {
    if (field.value === field.dataset.first) delete kept.drafts[field.name];
    else kept.drafts[field.name] = field.value;
    keep();
  });
});
const unsent = () => fields.some((one) => "draft" in one.dataset && one.value !== one.dataset.first);
addEventListener("beforeunload", (event) => {
  if (!leaving && (kept.queue.length || unsent())) event.preventDefault();
});

// the instrument: its unit, what was read with it, and the sample's temperature where that counts
all("[data-what]").forEach((chooser) => {
  const item = chooser.name.slice("what.".length);
  const value = document.getElementById(`value-${item}`), warm = document.querySelector(`[data-warm-of="${item}"]`);
  const show = (changed) => {
    const one = chooser.selectedOptions[0];
    if (!one) return;
    document.querySelector(`[data-unit-of="${item}"]`).textContent = one.dataset.unit;
    if (warm) warm.hidden = !("warm" in one.dataset);
    if (changed && (value.value === value.dataset.first || value.value === "")) {
      value.value = value.dataset.first = one.dataset.kept;
      delete kept.drafts[value.name];
      keep();
    }
  };
  chooser.addEventListener("change", () => show(true));
  show(false);
});

// timers of steps
const title = document.title;
let sound = null, rung = 0;
const clock = (ms) => {
  const s = Math.abs(Math.round(ms / 1000)), two = (n) => String(n).padStart(2, "0");
  const hours = Math.floor(s / 3600);
  return (ms < -500 ? "+" : "") + (hours ? `${hours}:` : "") + `${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
};
const awake = () => { try { sound ??= new AudioContext(); sound.resume(); } catch { /* no sound here */ } };
addEventListener("pointerdown", () => { if (Object.keys(kept.timers).length) awake(); });

function ring() {
  if (Date.now() - rung < 20000) return;
  rung = Date.now();
  navigator.vibrate?.([300, 150, 300]);
  awake();
  if (sound) [0, 0.35, 0.7].forEach((at) => {
    const tone = sound.createOscillator(), loud = sound.createGain();
    tone.frequency.value = 880;
    loud.gain.value = 0.25;
    tone.connect(loud).connect(sound.destination);
    tone.start(sound.currentTime + at);
    tone.stop(sound.currentTime + at + 0.2);
  });
}

function timers(root = document) {
  all("[data-timer]", root).forEach((box) => {
    const id = box.dataset.timer, button = box.querySelector("button");
    box.hidden = false;
    button.addEventListener("click", () => {
      const now = kept.timers[id], full = box.dataset.minutes * 60000;
      if (!now) kept.timers[id] = { end: Date.now() + full, words: box.dataset.words };
      else if (now.end === undefined) kept.timers[id] = { end: Date.now() + now.left, words: now.words };
      else if (now.end > Date.now()) kept.timers[id] = { left: now.end - Date.now(), words: now.words };
      else delete kept.timers[id];
      keep();
      awake();
      run();
    });
  });
  run();
}

function run() {
  let first = null;
  for (const one of Object.values(kept.timers)) {
    if (one.end !== undefined && (!first || one.end < first.end)) first = one;
  }
  all("[data-timer]").forEach((box) => {
    const now = kept.timers[box.dataset.timer];
    const left = !now ? box.dataset.minutes * 60000 : now.end === undefined ? now.left : now.end - Date.now();
    const over = left < 500 && Boolean(now);
    box.querySelector("output").textContent = clock(left);
    box.querySelector("button").textContent = !now ? "Start" : now.end === undefined ? "Go on" : over ? "Stop" : "Pause";
    box.classList.toggle("over", over);
    box.classList.toggle("runs", Boolean(now));
  });
  if (first && first.end - Date.now() < 500) ring();
  document.title = first ? (first.end - Date.now() < 500 ? "TIME: " : `${clock(first.end - Date.now())} `) + first.words : title;
}
setInterval(run, 500);

// a caution that is folded away opens where a link leads to it
const open = () => {
  for (let one = document.getElementById(location.hash.slice(1)); one; one = one.parentElement) if (one.tagName === "DETAILS") one.open = true;
};
addEventListener("hashchange", open);
open();

kept.queue.forEach(({ fields: of }) => {
  const button = document.getElementById(line(of));
  if (button) shown(button, of.tick ? "tick" : "untick");
});
timers();
tell();
send();
})();
