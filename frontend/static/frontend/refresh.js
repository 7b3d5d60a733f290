"use strict";
// Fetches a part of the page again: soon while something in it is waiting,
// rarely otherwise (if at all), never while nobody looks.
for (const part of document.querySelectorAll("[data-refresh]")) {
  const soon = Number(part.dataset.refreshMs);
  const rarely = Number(part.dataset.refreshIdleMs ?? 0);
  let timer = null;
  let last = null;

  function plan() {
    clearTimeout(timer);
    const wait = part.querySelector("[data-waiting]") ? soon : rarely;
    if (wait && !document.hidden) timer = setTimeout(look, wait);
  }

  async function look() {
    try {
      const answer = await fetch(part.dataset.refresh, { credentials: "same-origin" });
      const html = answer.ok && !answer.redirected ? await answer.text() : last;
      // Unchanged, it stays untouched: focus and selection are not lost.
      if (html !== null && html !== last) {
        const focused = document.activeElement?.closest("a")?.getAttribute("href");
        if (last !== null || part.querySelector("[data-waiting]") || rarely) part.innerHTML = html;
        if (focused) part.querySelector(`a[href="${focused}"]`)?.focus({ preventScroll: true });
        part.dispatchEvent(new CustomEvent("refreshed", { bubbles: true }));
      }
      last = html;
    } catch {
      // No network: the page keeps what it shows and looks again later.
    }
    plan();
  }

  document.addEventListener("visibilitychange", plan);
  plan();
}
