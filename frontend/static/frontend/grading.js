"use strict";
// Grading by keyboard: a row is focused, keys act on it; without this every button works.
(() => {
  const next = "benchwide-grading-next";
  const rows = () => [...document.querySelectorAll("[data-grade]")];
  const current = () => document.activeElement?.closest?.("[data-grade]") ?? null;

  function go(step) {
    const all = rows();
    const at = all.indexOf(current());
    const to = at < 0 ? (step > 0 ? 0 : all.length - 1) : Math.min(Math.max(at + step, 0), all.length - 1);
    all[to]?.focus();
    all[to]?.scrollIntoView({ block: "nearest" });
  }

  // The row after the one that is being accepted, for when the page comes again.
  function remember(row) {
    const all = rows();
    const after = all.slice(all.indexOf(row) + 1).find((one) => one.querySelector("[data-accept]"));
    sessionStorage.setItem(next, after?.id ?? row.id);
  }

  const keys = {
    j: () => go(1),
    ArrowDown: () => go(1),
    k: () => go(-1),
    ArrowUp: () => go(-1),
    x: () => current()?.querySelector("[name=chosen]")?.click(),
    o() {
      const details = current()?.querySelector("[data-details]");
      if (!details) return;
      details.open = !details.open;
      if (details.open) details.querySelector("input:not([type=hidden]), textarea")?.scrollIntoView({ block: "nearest" });
    },
    Enter: () => current()?.querySelector("[data-accept]")?.click(),
  };

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const target = event.target;
    if (target.closest("input:not([type=checkbox]), textarea, select")) return;
    // On a link or a button, Enter is theirs.
    if (event.key === "Enter" && !target.matches("[data-grade]")) return;
    const act = keys[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-accept]");
    if (button) remember(button.closest("[data-grade]"));
  });

  const wanted = sessionStorage.getItem(next);
  sessionStorage.removeItem(next);
  // The address decides what is focused once the page is loaded: it says the same.
  if (wanted) history.replaceState(null, "", `#${wanted}`);
  const start = document.getElementById(wanted ?? location.hash.slice(1));
  if (start?.matches("[data-grade]")) start.focus();
})();
