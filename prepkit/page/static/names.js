// Names of ingredients.

each("form[data-names]", (form) => {
const AMOUNT = /^\s*(?:[\d.,/]+(?:\s*(?:±|\+\/-)\s*[\d.,]+)?\s*(?:kg|mg|g|ml|cl|dl|l|fl oz|oz|lb|cups?|tbsp|tsp|dash(?:es)?|drops?|pieces?)?\s+)?/i;
const list = made("datalist", { id: "names-now" });
form.append(list);
let names = null;
const offer = (input) => {
	const head = AMOUNT.exec(input.value)[0], rest = input.value.slice(head.length).toLowerCase();
	const found = names.filter(([name]) => rest && name.includes(rest));
	found.sort(([one], [two]) => two.startsWith(rest) - one.startsWith(rest));
	list.replaceChildren(...found.slice(0, 12).map(([name, strength, known]) =>
		made("option", { value: `${head}${name}${strength && " "}${strength}`, label: known ? `${name}: ${known}` : name })));
};
on(form, "focusin", async ({ target }) => {
	if (!("amounts" in target.dataset)) return;
	target.setAttribute("list", list.id);
	if (names) return;
	names = all("#pantry-names option").map(({ value }) => [value, "", ""]);
	try {
		names = [...names, ...(await (await fetch(form.dataset.names)).json()).names];
		offer(target);
	} catch { names = null; }
});
on(form, "input", ({ target }) => { if (names && "amounts" in target.dataset) offer(target); });
});
