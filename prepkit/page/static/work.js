// A calculator's form: steps, sliders, suggestions, and the answer worked out while it changes.
// Without this script the form is sent and answered as a whole.
"use strict";

(() => {
  const form = document.querySelector("form[data-live]");
  if (!form) return;
  const box = form.closest(".beside-form");
  const part = (name) => document.getElementById(`answer-${name}`);
  const PATH = location.pathname;
  const WAIT_MS = 60, LONGEST_MS = 10000, MOST_NAMES = 12;

  // what this browser keeps; a browser that keeps nothing loses nothing else
  const kept = (key) => { try { return localStorage.getItem(key); } catch { return null; } };
  const keep = (key, text) => {
    try { text ? localStorage.setItem(key, text) : localStorage.removeItem(key); } catch { /* full */ }
  };
  const DRAFT = `prepkit-draft:${PATH}`, LAST = `prepkit-last:${PATH}`;

  // one number: less, more and a slider; arrow keys do the same
  const NUMBER = /^(\s*)(-?\d+(?:[.,]\d+)?)(?![\d.,/])(.*)$/;
  const nice = (size) => {
    const ten = 10 ** Math.floor(Math.log10(size));
    return ten * (size >= 5 * ten ? 5 : size >= 2 * ten ? 2 : 1);
  };
  const decimals = (number) => (String(number).split(/[.,]/)[1] || "").length;
  const read = (text) => {
    const found = NUMBER.exec(text);
    return found && { head: found[1], words: found[2], value: Number(found[2].replace(",", ".")), tail: found[3] };
  };
  const limits = (input) => ({
    low: input.dataset.low === undefined ? -Infinity : Number(input.dataset.low),
    high: input.dataset.high === undefined ? Infinity : Number(input.dataset.high),
  });
  const by = (input, value) => {
    if (input.dataset.by) return Number(input.dataset.by);
    if (!input.step_) input.step_ = nice(Math.abs(value) / 10 || 1);
    return input.step_;
  };
  const write = (input, number, now, places) => {
    let text = number.toFixed(Math.min(6, places));
    if (now && now.words.includes(",")) text = text.replace(".", ",");
    input.value = now ? now.head + text + now.tail : text;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const stepped = (input, way) => {
    if (!input.value.trim() && input.dataset.start) {
      input.value = input.dataset.start;
      input.dispatchEvent(new Event("input", { bubbles: true }));
      return;
    }
    const now = read(input.value);
    if (!now) return;
    const step = by(input, now.value), { low, high } = limits(input);
    const next = now.value + way * step;
    if (next > high || next < low || (next <= 0 && low === 0) || (input.dataset.amounts !== undefined && next <= 0)) return;
    write(input, next, now, Math.max(decimals(step), decimals(now.words)));
  };
  const button = (input, words, way, label) => {
    const made = document.createElement("button");
    made.type = "button";
    made.tabIndex = -1; // the arrow keys do it in the field itself
    made.className = "plain";
    made.textContent = words;
    made.setAttribute("aria-label", `${way < 0 ? "Less" : "More"}: ${label}`);
    made.addEventListener("click", () => stepped(input, way));
    return made;
  };
  const slider = (input, label) => {
    const made = document.createElement("input"), { low, high } = limits(input);
    made.type = "range";
    made.tabIndex = -1;
    made.setAttribute("aria-label", `Slide: ${label}`);
    const set = () => {
      const now = read(input.value), value = now ? now.value : Number(input.dataset.start);
      if (made.matches(":active")) return;
      const near = input.dataset.by;
      made.min = near && low > -Infinity ? low : 0;
      made.max = near && high < Infinity ? Math.min(high, Math.max(made.min, 0) + 100) : Math.min(high, 2 * Math.abs(value) || 1);
      made.step = near && input.dataset.by ? input.dataset.by : nice((made.max - made.min) / 100);
      made.value = value;
    };
    made.addEventListener("input", () => {
      const now = read(input.value), step = Number(made.step), value = Number(made.value);
      if (value <= 0 && low === 0 && !input.dataset.by) return;
      write(input, value, now, decimals(Number(step.toPrecision(3))));
    });
    input.addEventListener("input", set);
    set();
    return made;
  };
  const fit = (input) => {
    const label = input.getAttribute("aria-label") || form.querySelector(`label[for="${input.id}"]`).firstChild.textContent.trim();
    if (input.dataset.start !== undefined && input.closest(".step")) {
      input.before(button(input, "\u2212", -1, label));
      input.after(button(input, "+", 1, label));
      input.closest(".step").querySelector("label").after(slider(input, label));
    } else if (input.dataset.amounts !== undefined && box.classList.contains("answered") && !input.parentElement.matches(".amount")) {
      const row = document.createElement("span");
      row.className = "amount";
      input.replaceWith(row);
      row.append(input, button(input, "\u2212", -1, label), button(input, "+", 1, label));
    }
  };
  const all = (query) => [...form.querySelectorAll(query)];
  all("[data-start], [data-amounts]").forEach(fit);
  form.addEventListener("keydown", (event) => {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (!way || event.target.dataset.start === undefined || !event.target.closest(".step")) return;
    event.preventDefault();
    stepped(event.target, way);
  });

  // one row more
  const grow = (rows) => {
    const inputs = rows.querySelectorAll("input");
    if (inputs.length >= Number(rows.dataset.most)) return null;
    const last = inputs[inputs.length - 1], next = last.cloneNode(false);
    next.value = "";
    next.removeAttribute("aria-invalid");
    next.id = last.id.replace(/(-\d+)?$/, `-${inputs.length + 1}`);
    next.setAttribute("aria-label", last.getAttribute("aria-label").replace(/\d+$/, inputs.length + 1));
    rows.append(next);
    fit(next);
    return next;
  };
  form.addEventListener("click", (event) => {
    const more = event.target.closest("[data-add]"), plate = event.target.closest("[data-fill]");
    if (more) {
      const next = grow(more.parentElement.querySelector(".rows"));
      if (!next) return;
      event.preventDefault();
      next.focus();
    } else if (plate) {
      event.preventDefault();
      fill(JSON.parse(plate.dataset.fill));
      touched();
    }
  });

  // what was typed, into the form; a field that is not named keeps what it has
  const fill = (pairs) => {
    const by = new Map();
    pairs.forEach(([name, value]) => by.set(name, [...(by.get(name) || []), value]));
    by.forEach((values, name) => {
      let fields = all("[name]").filter((one) => one.name === name && one.type !== "hidden" && one.type !== "submit");
      if (!fields.length) return;
      const rows = fields[0].closest(".rows");
      while (rows && fields.length < values.length) {
        const next = grow(rows);
        if (!next) break;
        fields.push(next);
      }
      fields.forEach((one, at) => {
        if (one.type === "radio" || one.type === "checkbox") one.checked = values.includes(one.value);
        else one.value = values[at] ?? "";
        const more = one.closest("details");
        if (more && one.value && values[at]) more.open = true;
      });
    });
    all('[type="range"]').forEach((one) => one.closest(".step").querySelector("[data-start]").dispatchEvent(new Event("input")));
  };
  const said = () => [...new FormData(form)].filter(([name, value]) => value !== "" && name !== ".go");
  const typed = () => said().filter(([name]) => !name.endsWith(".unit") || form.querySelector(`select[name="${name}"]`));

  // the answer while it changes
  let answered = box.classList.contains("answered");
  const desk = matchMedia("(min-width: 60rem)");
  let timer = 0, asking = null;
  const stale = () => {
    // a stop stays in view; nothing milder does until the new answer is there
    box.classList.toggle("on-stop", !!part("top").querySelector(".verdict.stop"));
    box.classList.add("waiting");
    box.setAttribute("aria-busy", "true");
  };
  const settle = () => {
    box.classList.remove("waiting", "on-stop");
    box.removeAttribute("aria-busy");
  };
  const show = (got) => {
    const open = new Set([...part("rest").querySelectorAll("details[open] > summary")].map((one) => one.textContent.replace(/\d/g, "")));
    ["top", "rest", "hold", "foot"].forEach((name) => { part(name).innerHTML = got[name] || ""; });
    part("rest").querySelectorAll("details > summary").forEach((one) => {
      if (open.has(one.textContent.replace(/\d/g, ""))) one.parentElement.open = true;
    });
    part("foot").hidden = !got.foot;
    part("said").textContent = got.said || "";
    mark(got.problems || []);
    settle();
  };
  const mark = (problems) => {
    all(".problem").forEach((one) => one.remove());
    all(".wrong").forEach((one) => one.classList.remove("wrong"));
    all("[aria-invalid]").forEach((one) => one.removeAttribute("aria-invalid"));
    problems.forEach(([id, , words]) => {
      const field = id && document.getElementById(id), told = document.createElement("p");
      if (!field) return;
      told.className = "problem";
      told.textContent = words;
      if (field.matches("input, select")) field.setAttribute("aria-invalid", "true");
      field.closest(".field").append(told);
      field.closest(".field").classList.add("wrong");
    });
  };
  const ask = async () => {
    if (asking) asking.abort();
    const mine = asking = new AbortController();
    const limit = setTimeout(() => mine.abort(), LONGEST_MS);
    try {
      const reply = await fetch(`${form.dataset.live}?${new URLSearchParams(said())}`, { signal: mine.signal });
      const got = await reply.json();
      if (mine !== asking) return;
      if (reply.ok) {
        answered = true;
        box.classList.replace("asking", "answered");
        show(got);
        document.title = `${got.title} - prepkit`;
        history.replaceState({ typed: typed() }, "", got.address);
        keep(LAST, got.address.split("?")[1]);
        keep(DRAFT, "");
        document.dispatchEvent(new Event("recent"));
      } else if (answered) {
        show({ top: got.top || `<p class="problem">${"Not worked out. Press “Work it out”."}</p>`, problems: got.problems });
      } else settle();
    } catch {
      if (mine !== asking) return;
      show({ top: '<p class="problem">Not worked out: the page does not answer. Press “Work it out”.</p>' });
    } finally {
      clearTimeout(limit);
    }
  };
  const touched = () => {
    history.replaceState({ typed: typed() }, "");
    if (!answered) keep(DRAFT, new URLSearchParams(typed()).toString());
    if (!answered && !desk.matches) return;
    stale();
    clearTimeout(timer);
    timer = setTimeout(ask, WAIT_MS);
  };
  form.addEventListener("input", (event) => {
    if (event.target.name) touched();
  });
  form.addEventListener("submit", () => keep(DRAFT, ""));

  // what was typed before: by Back, by coming again, or as it was answered last
  const back = history.state && history.state.typed;
  const blank = !location.search;
  if (back && JSON.stringify(back) !== JSON.stringify(typed())) {
    fill(back);
    if (answered) { stale(); ask(); }
  } else if (blank && kept(DRAFT)) {
    const draft = [...new URLSearchParams(kept(DRAFT))];
    if (draft.some(([name]) => !name.startsWith("."))) {
      fill(draft);
      form.querySelector("[data-back]").hidden = false;
    }
  }
  form.querySelector("[data-forget]").addEventListener("click", () => {
    keep(DRAFT, "");
    history.replaceState(null, "");
    location.assign(PATH);
  });
  if (answered && location.search) keep(LAST, location.search.slice(1));
  const last = form.querySelector("[data-last]");
  if (last && kept(LAST)) {
    last.href = `?${kept(LAST)}&.edit=1`;
    last.hidden = false;
  }

  // names of ingredients, with what the pantry knows of each
  const AMOUNT = /^\s*(?:[\d.,/]+(?:\s*(?:±|\+\/-)\s*[\d.,]+)?\s*(?:kg|mg|g|ml|cl|dl|l|fl oz|oz|lb|cups?|tbsp|tsp|dash(?:es)?|drops?|pieces?)?\s+)?/i;
  let names = null;
  const list = document.createElement("datalist");
  list.id = "names-now";
  form.append(list);
  const offer = (input) => {
    const head = AMOUNT.exec(input.value)[0], rest = input.value.slice(head.length).toLowerCase();
    const found = rest ? names.filter(([name]) => name.startsWith(rest)) : [];
    if (rest.length > 1) found.push(...names.filter(([name]) => !name.startsWith(rest) && name.includes(rest)));
    list.replaceChildren(...found.slice(0, MOST_NAMES).map(([name, strength, known]) => {
      const one = document.createElement("option");
      one.value = `${head}${name}${strength ? ` ${strength}` : ""}`;
      one.label = known ? `${name}: ${known}` : name;
      return one;
    }));
  };
  form.addEventListener("focusin", async (event) => {
    const input = event.target;
    if (input.dataset.amounts === undefined) return;
    input.setAttribute("list", list.id);
    if (names) return;
    names = [];
    try {
      names = (await (await fetch(form.dataset.names)).json()).names;
    } catch { names = null; }
  });
  form.addEventListener("input", (event) => {
    if (event.target.dataset.amounts !== undefined && names) offer(event.target);
  });
})();
