"use strict";
// Opens the bench sheet without a network. Holds one sheet, of the group that is
// signed in, and the files it is made of; no page of staff and no result is held.
const FILES = "bench-files";
const SHEET = "bench-sheet";
const PATIENCE_MS = 4000;

const isSheet = (answer) => answer.ok && !answer.redirected && answer.headers.get("Bench-Sheet") === "1";

// What neither this version nor the sheet that is held refers to can go.
async function prune(html) {
  const files = await caches.open(FILES);
  for (const request of await files.keys()) {
    const { pathname, search } = new URL(request.url);
    const address = pathname + search;
    if (!HELD.files.includes(address) && !html.includes(address)) await files.delete(request);
  }
}

async function hold(answer) {
  await (await caches.open(SHEET)).put(HELD.sheet, answer.clone());
  await prune(await answer.text());
}

async function held() {
  return (await caches.open(SHEET)).match(HELD.sheet);
}

async function holdAfresh() {
  const answer = await fetch(HELD.sheet, { credentials: "same-origin" });
  if (isSheet(answer)) await hold(answer);
}

const later = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

async function sheet(event) {
  const kept = await held();
  const asked = fetch(event.request).then((answer) => {
    // With a station from a sticker it is this visit's page, not the one to hold.
    const isPlain = !new URL(event.request.url).search;
    if (isPlain && isSheet(answer)) event.waitUntil(hold(answer.clone()));
    return answer;
  });
  asked.catch(() => {});
  if (!kept) return asked;
  try {
    // A network that takes ages is none; what is kept is shown at once then.
    const answer = await Promise.race([asked, later(PATIENCE_MS)]);
    return answer && answer.status < 500 ? answer : kept;
  } catch {
    return kept;
  }
}

// Without a network every other page of the group leads to what there is.
async function elsewhere(request) {
  try {
    return await fetch(request);
  } catch (error) {
    if (await held()) return Response.redirect(HELD.sheet);
    throw error;
  }
}

// A station's sticker chooses it on the sheet that is held, too.
async function station(request, code) {
  try {
    return await fetch(request);
  } catch (error) {
    if (await held()) return Response.redirect(`${HELD.sheet}?station=${code}`);
    throw error;
  }
}

// A site that can do nothing just now has signed nobody in or out.
async function letGo(answer) {
  if (answer.status < 500) await caches.delete(SHEET);
  return answer;
}

// Whoever signs in next does not find the sheet of the group before.
async function signIn(request) {
  return letGo(await fetch(request));
}

async function signOut(request) {
  try {
    return await letGo(await fetch(request));
  } catch (error) {
    if (await held()) return Response.redirect(`${HELD.sheet}#still-signed-in`, 303);
    throw error;
  }
}

// The sheet that is held speaks the language that was chosen last.
async function chooseLanguage(event) {
  try {
    const answer = await fetch(event.request);
    event.waitUntil(holdAfresh().catch(() => {}));
    return answer;
  } catch (error) {
    if (await held()) return Response.redirect(HELD.sheet, 303);
    throw error;
  }
}

async function file(request) {
  const kept = await (await caches.open(FILES)).match(request);
  return kept ?? fetch(request);
}

self.addEventListener("install", (event) => {
  event.waitUntil(
    (async () => {
      await (await caches.open(FILES)).addAll(HELD.files);
      await self.skipWaiting();
    })(),
  );
});

// Until a worker is active, whatever its pages ask for waits. So the sheet is fetched
// beside that: a slow network would keep readings from being sent.
self.addEventListener("activate", (event) => {
  holdAfresh().catch(() => {});
  event.waitUntil(self.clients.claim());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname, search } = new URL(request.url);
  if (origin !== self.location.origin) return;
  if (request.method === "POST" && request.mode === "navigate" && pathname === HELD.signOut) {
    event.respondWith(signOut(request));
  } else if (request.method === "POST" && request.mode === "navigate" && pathname === HELD.home) {
    event.respondWith(signIn(request));
  } else if (request.method === "POST" && request.mode === "navigate" && pathname === HELD.language) {
    event.respondWith(chooseLanguage(event));
  } else if (request.method !== "GET") {
    // Everything else that is sent goes its way.
  } else if (request.mode === "navigate") {
    if (pathname === HELD.sheet) event.respondWith(sheet(event));
    else if (pathname.startsWith(HELD.stations)) event.respondWith(station(request, pathname.slice(HELD.stations.length, -1)));
    else if (pathname === HELD.home || pathname.startsWith(HELD.results)) event.respondWith(elsewhere(request));
  } else if (HELD.files.includes(pathname + search) || search.startsWith("?v=")) {
    event.respondWith(file(request));
  }
});
