// Keeps the last sheets, cards and cautions for when the laptop does not answer.
const STORE = "prepkit-kept", FILES = "prepkit-files", WHO = "/prepkit-who", MOST = 24;

addEventListener("install", () => skipWaiting());
addEventListener("activate", (e) => e.waitUntil(clients.claim()));

async function keep(url, answer) {
	const who = answer.headers.get("Prepkit-Who");
	if (who === null) return;
	let store = await caches.open(STORE);
	const known = await store.match(WHO);
	if (!known || (await known.text()) !== who) {
		await caches.delete(STORE); // another person, or another run of the page
		store = await caches.open(STORE);
		await store.put(WHO, new Response(who));
	}
	if (!answer.headers.has("Prepkit-Keep")) return;
	const headers = new Headers(answer.headers);
	headers.set("Prepkit-At", new Date().toLocaleString());
	await store.delete(url);
	await store.put(url, new Response(await answer.blob(), { headers }));
	const all = (await store.keys()).filter((one) => !one.url.endsWith(WHO));
	for (const old of all.slice(0, -MOST)) await store.delete(old);
}

// only where nothing answers, never because it takes long
async function page(e) {
	const { url } = e.request;
	try {
		const answer = await fetch(e.request);
		e.waitUntil(keep(url, answer.clone()).catch(() => {}));
		return answer;
	} catch (error) {
		const found = await (await caches.open(STORE)).match(url);
		if (!found) throw error;
		const told = `<p role="alert" class="kept"><b>Kept copy of ${found.headers.get("Prepkit-At")}.</b> The laptop does not answer. Nothing here is newer, and nothing can be saved. <a href="">Try again</a></p>`;
		return new Response((await found.text()).replace(/<body[^>]*>/, (body) => body + told), { headers: found.headers });
	}
}

async function file(request) {
	const store = await caches.open(FILES), answer = await fetch(request).catch(() => null);
	if (answer?.status === 200) await store.put(request.url, answer.clone()).catch(() => {});
	return answer || (await store.match(request.url)) || Response.error();
}

addEventListener("fetch", (e) => {
	const { request } = e;
	if (request.method !== "GET") return;
	if (request.mode === "navigate") e.respondWith(page(e));
	else if (request.url.startsWith(location.origin + "/static/")) e.respondWith(file(request));
});
