// Keeps the phone page and what it loads, so that it opens with no signal. JSON and what is sent pass by untouched.

const VERSION = "ledger-{{ version }}";
const SHELL = "{{ shell }}";
const ASSETS = [{% for asset in assets %}"{{ asset }}"{% if not forloop.last %}, {% endif %}{% endfor %}];

/** Keep all of this version, or nothing: the browser tries again at the next opening. */
async function install() {
  const shell = await fetch(SHELL, { cache: "reload" });
  const text = await shell.clone().text();
  // While a deployment runs, the shell may be another version's than this worker.
  if (!shell.ok || !ASSETS.every((asset) => text.includes(asset))) throw new Error("The page is not this version's.");
  const cache = await caches.open(VERSION);
  await cache.addAll(ASSETS);
  await cache.put(SHELL, shell);
  // An open page has loaded all it needs, so that the next opening may have the new version at once.
  await skipWaiting();
}

async function activate() {
  const old = (await caches.keys()).filter((name) => name.startsWith("ledger-") && name !== VERSION);
  await Promise.all(old.map((name) => caches.delete(name)));
  await clients.claim();
}

async function kept(path, request) {
  return (await caches.match(path, { cacheName: VERSION, ignoreVary: true })) ?? fetch(request);
}

addEventListener("install", (event) => event.waitUntil(install()));
addEventListener("activate", (event) => event.waitUntil(activate()));
addEventListener("fetch", (event) => {
  const { method, mode, url } = event.request;
  const { origin, pathname } = new URL(url);
  if (method !== "GET" || origin !== location.origin) return;
  const opens = mode === "navigate";
  if (opens ? pathname === SHELL : ASSETS.includes(pathname)) event.respondWith(kept(pathname, event.request));
  else if (opens && pathname === "/") event.respondWith(fetch(event.request).catch(() => Response.redirect(SHELL)));
});
