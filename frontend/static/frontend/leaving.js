"use strict";
// What is typed in the moment in which the page goes away. A disk takes its time and
// a page that is left has none: what is not written by then is put aside at once, and
// the next page takes it up.
(() => {
  const NAME = "benchwide-typed-last";
  const underway = new Map();
  const nameOf = ({ group, field }) => `${group}/${field}`;

  // A private window may refuse this too.
  function left() {
    try {
      return JSON.parse(localStorage.getItem(NAME) ?? "[]");
    } catch {
      return [];
    }
  }

  window.addEventListener("pagehide", () => {
    if (!underway.size) return;
    try {
      localStorage.setItem(NAME, JSON.stringify([...left(), ...underway.values()]));
    } catch {
      // Then it is as far as it came.
    }
  });

  window.bench.leaving = {
    hold: (box) => underway.set(nameOf(box), box),
    settled: (box) => underway.get(nameOf(box))?.stamp_ms === box.stamp_ms && underway.delete(nameOf(box)),
    left,
    takenUp: () => localStorage.removeItem(NAME),
  };
})();
