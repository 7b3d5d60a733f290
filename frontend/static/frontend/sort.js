"use strict";
// Tables that are sorted by pressing a heading, and remember it.
(() => {
  const value = (cell) => {
    const text = cell.dataset.sort ?? cell.textContent.trim();
    const number = Number.parseFloat(text.replace("−", "-"));
    return Number.isNaN(number) ? text : number;
  };

  function compare(a, b) {
    if (typeof a === "number" && typeof b === "number") return a - b;
    // Numbers before words, so that dashes end up last.
    if (typeof a !== typeof b) return typeof a === "number" ? -1 : 1;
    return a.localeCompare(b);
  }

  function sort(table, column, direction) {
    // Rows that belong together stand in a body of their own and move with their first.
    const bodies = [...table.tBodies];
    const parent = bodies.length > 1 ? table : bodies[0];
    const pieces = bodies.length > 1 ? bodies : [...bodies[0].rows];
    const cell = (piece) => (piece.rows ? piece.rows[0] : piece).cells[column];
    const rows = pieces.sort((a, b) => compare(value(cell(a)), value(cell(b))));
    if (direction === "descending") rows.reverse();
    parent.append(...rows);
    [...table.tHead.rows[0].cells].forEach((head, i) => {
      if (i === column) head.setAttribute("aria-sort", direction);
      else head.removeAttribute("aria-sort");
    });
  }

  function prepare(table) {
    const name = `benchwide-sort:${table.dataset.sortable}`;
    [...table.tHead.rows[0].cells].forEach((head, column) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = head.textContent;
      button.addEventListener("click", () => {
        const direction = head.getAttribute("aria-sort") === "ascending" ? "descending" : "ascending";
        sort(table, column, direction);
        sessionStorage.setItem(name, JSON.stringify([column, direction]));
      });
      head.replaceChildren(button);
    });
    const remembered = JSON.parse(sessionStorage.getItem(name) ?? "null");
    if (remembered && remembered[0] < table.tHead.rows[0].cells.length) sort(table, ...remembered);
  }

  const prepareAll = (root) => root.querySelectorAll("table[data-sortable]").forEach(prepare);
  document.addEventListener("refreshed", (event) => prepareAll(event.target));
  prepareAll(document);
})();
