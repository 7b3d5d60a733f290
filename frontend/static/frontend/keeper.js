"use strict";
// What is typed, kept on this phone: every box of every group as it stands, sheets
// that wait to be sent, and a few notes. Written through to the disk, so that an
// empty battery takes nothing.
(() => {
  const NAME = "benchwide";
  const { leaving } = window.bench;
  let memory = null;

  function promised(request) {
    return new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
  }

  function ended(transaction) {
    return new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = transaction.onerror = () => reject(transaction.error);
    });
  }

  function open() {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("boxes", { keyPath: ["group", "field"] });
      request.result.createObjectStore("outbox", { keyPath: "key" });
      request.result.createObjectStore("notes");
    };
    return promised(request);
  }

  // The later edit of a box stands, whichever of the two was written.
  async function takeUp(base) {
    const left = leaving.left();
    if (!left.length) return base;
    const transaction = base.transaction("boxes", "readwrite", { durability: "strict" });
    const kept = transaction.objectStore("boxes");
    for (const box of left) {
      const request = kept.get([box.group, box.field]);
      request.onsuccess = () => request.result?.stamp_ms >= box.stamp_ms || kept.put(box);
    }
    await ended(transaction);
    leaving.takenUp();
    return base;
  }

  // A private window may refuse storage; the page then works without it.
  let opened = null;
  const database = () =>
    (opened ??= open().then(takeUp).catch(() => {
      memory = { boxes: new Map(), outbox: new Map(), notes: new Map() };
      return null;
    }));

  const keyOf = (store, value, key) => JSON.stringify(store === "boxes" ? [value.group, value.field] : store === "outbox" ? value.key : key);

  // All changes of one call are made together or not at all.
  async function change(store, changes) {
    const base = await database();
    if (!base) {
      for (const { put, remove, key } of changes) {
        if (put === undefined) memory[store].delete(JSON.stringify(remove));
        else memory[store].set(keyOf(store, put, key), structuredClone(put));
      }
      return;
    }
    const transaction = base.transaction(store, "readwrite", { durability: "strict" });
    const kept = transaction.objectStore(store);
    for (const { put, remove, key } of changes) {
      if (put === undefined) kept.delete(remove);
      else kept.put(put, ...(key === undefined ? [] : [key]));
    }
    await ended(transaction);
  }

  async function everything(store) {
    const base = await database();
    if (!base) return [...memory[store].values()];
    return promised(base.transaction(store).objectStore(store).getAll());
  }

  async function note(key) {
    const base = await database();
    if (!base) return memory.notes.get(JSON.stringify(key));
    return promised(base.transaction("notes").objectStore("notes").get(key));
  }

  const setNote = (key, value) => change("notes", [{ put: value, key }]);

  async function phone() {
    const known = await note("phone");
    if (known) return known;
    const name = [...crypto.getRandomValues(new Uint8Array(8))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    await setNote("phone", name);
    return name;
  }

  async function putBoxes(boxes) {
    boxes.forEach(leaving.hold);
    await change("boxes", boxes.map((put) => ({ put })));
    boxes.forEach(leaving.settled);
  }

  const of = (group) => (one) => one.group === group;

  window.bench.keeper = {
    phone,
    note,
    setNote,
    isKept: async () => (await database()) !== null,
    boxes: async (group) => (await everything("boxes")).filter(of(group)),
    allBoxes: () => everything("boxes"),
    putBoxes,
    forgetBoxes: (boxes) => change("boxes", boxes.map(({ group, field }) => ({ remove: [group, field] }))),
    waiting: async (group) => (await everything("outbox")).filter(of(group)).sort((a, b) => a.pressed_ms - b.pressed_ms),
    allWaiting: () => everything("outbox"),
    post: (item) => change("outbox", [{ put: item }]),
    unpost: (key) => change("outbox", [{ remove: key }]),
  };
})();
