// A calculator's form: steps, sliders, suggestions, drafts, and the answer while it changes.
// Without this script the form is sent and answered as a whole.
"use strict";

(() => {
  const form = document.querySelector("form[data-live]");
  if (!form) return;
  const box = form.closest(".beside-form"), PARTS = ["top", "rest", "hold", "foot"];
  const part = (name) => document.getElementById(`answer-${name}`);
  const all = (query) => [...form.querySelectorAll(query)];
  const WAIT_MS = 60, LONGEST_MS = 10000, MOST_NAMES = 12;
  const kept = (key) => { try { return localStorage.getItem(key); } catch { return null; } };
  const keep = (key, text) => { try { localStorage.setItem(key, text); } catch { /* nothing is kept here */ } };
  const DRAFT = `prepkit-draft:${location.pathname}`, LAST = `prepkit-last:${location.pathname}`;
  const made = (tag, more) => Object.assign(document.createElement(tag), more);
  const changed = (input) => input.dispatchEvent(new Event("input", { bubbles: true }));

  // a number, less and more, by a button, an arrow key or a slider
  const NUMBER = /^(\s*)(-?\d+(?:[.,]\d+)?)(?![\d.,/])(.*)$/;
  const read = (text) => {
    const found = NUMBER.exec(text);
    return found && { head: found[1], words: found[2], value: Number(found[2].replace(",", ".")), tail: found[3] };
  };
  const nice = (size) => {
    const ten = 10 ** Math.floor(Math.log10(size));
    return ten * (size >= 5 * ten ? 5 : size >= 2 * ten ? 2 : 1);
  };
  const places = (number) => (String(number).split(/[.,]/)[1] || "").length;
  const limits = ({ dataset: { low, high, by } }) => ({ low: Number(low ?? -Infinity), high: Number(high ?? Infinity), by: Number(by) || 0 });
  const write = (input, number, now, decimals) => {
    const text = number.toFixed(Math.min(6, decimals));
    input.value = now ? now.head + (now.words.includes(",") ? text.replace(".", ",") : text) + now.tail : text;
    changed(input);
  };
  const steps = new WeakMap(); // the step of a field, which does not change with its number
  const stepped = (input, way) => {
    const now = read(input.value), { low, high, by } = limits(input);
    if (!now) {
      if (input.value.trim() || !input.dataset.start) return;
      input.value = input.dataset.start;
      changed(input);
      return;
    }
    if (!steps.has(input)) steps.set(input, by || nice(Math.abs(now.value) / 10 || 1));
    const step = steps.get(input), next = now.value + way * step;
    const none = low === 0 || input.dataset.start === undefined; // what is nothing is left blank
    if (next < low || next > high || (none && next < step / 2)) return;
    write(input, next, now, Math.max(places(step), places(now.words)));
  };
  const button = (input, words, way, label) => {
    // the arrow keys do it in the field itself, so that it is no stop of the Tab key
    const one = made("button", { type: "button", tabIndex: -1, className: "plain", textContent: words });
    one.setAttribute("aria-label", `${way < 0 ? "Less" : "More"}: ${label}`);
    one.addEventListener("click", () => stepped(input, way));
    return one;
  };
  const slider = (input, label) => {
    const one = made("input", { type: "range", tabIndex: -1 }), { low, high, by } = limits(input);
    one.setAttribute("aria-label", `Slide: ${label}`);
    const set = () => {
      if (one.matches(":active")) return;
      const now = read(input.value), value = now ? now.value : Number(input.dataset.start);
      one.min = by && low > -Infinity ? low : 0;
      one.max = Math.min(high, by ? 100 : 2 * Math.abs(value) || 1);
      one.step = by || nice((one.max - one.min) / 100);
      one.value = now ? value : one.min;
    };
    one.addEventListener("input", () => {
      const value = Number(one.value);
      if (value > 0 || low < 0 || by) write(input, value, read(input.value), places(Number(Number(one.step).toPrecision(3))));
    });
    input.addEventListener("input", set);
    set();
    return one;
  };
  const fit = (input) => {
    const row = input.closest(".step");
    const label = input.getAttribute("aria-label") || form.querySelector(`label[for="${input.id}"]`).firstChild.textContent.trim();
    if (row && input.dataset.start) {
      input.before(button(input, "\u2212", -1, label));
      input.after(button(input, "+", 1, label));
      row.querySelector("label").after(slider(input, label));
    } else if (input.dataset.amounts !== undefined && box.matches(".answered") && read(input.value)) {
      const amount = made("span", { className: "amount" });
      input.replaceWith(amount);
      amount.append(input, button(input, "\u2212", -1, label), button(input, "+", 1, label));
    }
  };
  all("[data-start], [data-amounts]").forEach(fit);
  form.addEventListener("keydown", (event) => {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (!way || !event.target.dataset.start) return;
    event.preventDefault();
    stepped(event.target, way);
  });

  // one row more
  const grow = (rows) => {
    const inputs = rows.querySelectorAll("input"), count = inputs.length + 1, last = inputs[count - 2];
    if (count > Number(rows.dataset.most)) return null;
    const next = last.cloneNode(false);
    next.value = "";
    next.removeAttribute("aria-invalid");
    next.id = last.id.replace(/(-\d+)?$/, `-${count}`);
    next.setAttribute("aria-label", last.getAttribute("aria-label").replace(/\d+$/, count));
    rows.append(next);
    fit(next);
    return next;
  };

  // words into the form; a field that is not named keeps what it has
  const fill = (pairs) => {
    new Set(pairs.map(([name]) => name)).forEach((name) => {
      const values = pairs.filter((pair) => pair[0] === name).map((pair) => pair[1]);
      const fields = all(`[name="${CSS.escape(name)}"]:not([type=hidden], [type=submit])`);
      const rows = fields[0]?.closest(".rows");
      while (rows && fields.length < values.length) {
        const next = grow(rows);
        if (!next) break;
        fields.push(next);
      }
      fields.forEach((one, at) => {
        if (/radio|checkbox/.test(one.type)) one.checked = values.includes(one.value);
        else one.value = values[at] ?? "";
        if (values[at] && one.closest("details")) one.closest("details").open = true;
      });
    });
    all("[data-start]").forEach((one) => one.dispatchEvent(new Event("input")));
  };
  form.addEventListener("click", (event) => {
    const more = event.target.closest("[data-add]"), plate = event.target.closest("[data-fill]");
    const next = more && grow(more.parentElement.querySelector(".rows"));
    if (next || plate) event.preventDefault();
    if (next) next.focus();
    if (plate) { fill(JSON.parse(plate.dataset.fill)); touched(); }
  });
  const said = () => [...new FormData(form)].filter(([name, value]) => value !== "" && name !== ".go");

  // the answer while it changes: a stop stays in view, nothing milder does until the new one is there
  let answered = box.matches(".answered"), timer = 0, asking = null;
  const desk = matchMedia("(min-width: 60rem)");
  const stale = () => {
    box.classList.toggle("on-stop", !!part("top").querySelector(".verdict.stop"));
    box.classList.add("waiting");
    box.ariaBusy = "true";
  };
  const settle = () => {
    box.classList.remove("waiting", "on-stop");
    box.ariaBusy = "false";
  };
  const bare = (summary) => summary.textContent.replace(/\d/g, "");
  const show = (got) => {
    const open = new Set([...part("rest").querySelectorAll("[open] > summary")].map(bare));
    PARTS.forEach((name) => { part(name).innerHTML = got[name] || ""; });
    part("rest").querySelectorAll("summary").forEach((one) => { if (open.has(bare(one))) one.parentElement.open = true; });
    part("foot").hidden = !got.foot;
    part("said").textContent = got.said || "";
    all(".problem").forEach((one) => one.remove());
    all("[aria-invalid]").forEach((one) => one.removeAttribute("aria-invalid"));
    (got.problems || []).forEach(([id]) => id && document.getElementById(id)?.setAttribute("aria-invalid", "true"));
    settle();
  };
  const ask = async () => {
    asking?.abort();
    const mine = asking = new AbortController();
    const limit = setTimeout(() => mine.abort(), LONGEST_MS);
    try {
      const words = new URLSearchParams(said());
      const get = (first) => fetch(`${form.dataset.live}?${words}${first}`, { signal: mine.signal });
      let reply = await get("&.first=1"), got = await reply.json();
      if (mine !== asking) return;
      if (got.more) { // a stop is shown before its ways out are worked out
        show(got);
        reply = await get("");
        got = await reply.json();
        if (mine !== asking) return;
      }
      if (reply.ok) {
        answered = true;
        box.classList.replace("asking", "answered");
        show(got);
        document.title = `${got.title} - prepkit`;
        history.replaceState({ typed: said() }, "", got.address);
        keep(LAST, got.address.split("?")[1]);
        keep(DRAFT, "");
        document.dispatchEvent(new Event("recent"));
      } else if (!answered) settle();
      else if (got.top) show(got);
      else throw reply.status;
    } catch {
      if (mine === asking) show({ top: '<p class="problem">Not worked out: the page does not answer. Press “Work it out”.</p>' });
    } finally {
      clearTimeout(limit);
    }
  };
  const touched = () => {
    history.replaceState({ typed: said() }, "");
    if (!answered) keep(DRAFT, new URLSearchParams(said()));
    if (!answered && !desk.matches) return;
    stale();
    clearTimeout(timer);
    timer = setTimeout(ask, WAIT_MS);
  };
  form.addEventListener("input", (event) => { if (event.target.name) touched(); });
  form.addEventListener("submit", () => keep(DRAFT, ""));

  // what was typed before: by Back, by coming again, or as it was answered last
  const back = history.state?.typed, draft = [...new URLSearchParams(kept(DRAFT) || "")];
  if (back && JSON.stringify(back) !== JSON.stringify(said())) {
    fill(back);
    if (answered) { stale(); ask(); }
  } else if (!location.search && draft.some(([name]) => !/^\.|\.unit$/.test(name))) {
    fill(draft);
    form.querySelector("[data-back]").hidden = false;
  }
  form.querySelector("[data-forget]").addEventListener("click", () => {
    keep(DRAFT, "");
    history.replaceState(null, "");
    location.assign(location.pathname);
  });
  if (answered && location.search) keep(LAST, location.search.slice(1));
  const last = form.querySelector("[data-last]");
  if (last && kept(LAST)) Object.assign(last, { href: `?${kept(LAST)}&.edit=1`, hidden: false });

  // names of ingredients, with what the pantry knows of each
  const AMOUNT = /^\s*(?:[\d.,/]+(?:\s*(?:±|\+\/-)\s*[\d.,]+)?\s*(?:kg|mg|g|ml|cl|dl|l|fl oz|oz|lb|cups?|tbsp|tsp|dash(?:es)?|drops?|pieces?)?\s+)?/i;
  const list = made("datalist", { id: "names-now" });
  form.append(list);
  let names = null;
  const offer = (input) => {
    const head = AMOUNT.exec(input.value)[0], rest = input.value.slice(head.length).toLowerCase();
    const where = names.map(([name]) => (rest ? name.indexOf(rest) : -1));
    const found = names.filter((_, at) => where[at] === 0).concat(names.filter((_, at) => where[at] > 0));
    list.replaceChildren(...found.slice(0, MOST_NAMES).map(([name, strength, known]) =>
      made("option", { value: `${head}${name}${strength && " "}${strength}`, label: known ? `${name}: ${known}` : name })));
  };
  form.addEventListener("focusin", async ({ target }) => {
    if (target.dataset.amounts === undefined) return;
    target.setAttribute("list", list.id);
    if (names) return;
    names = [];
    try {
      names = (await (await fetch(form.dataset.names)).json()).names;
      offer(target);
    } catch { names = null; }
  });
  form.addEventListener("input", ({ target }) => { if (names && target.dataset.amounts !== undefined) offer(target); });
})();
