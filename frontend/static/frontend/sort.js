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
    const body = table.tBodies[0];
    const rows = [...body.rows].sort((a, b) => compare(value(a.cells[column]), value(b.cells[column])));
    if (direction === "descending") rows.reverse();
    body.append(...rows);
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
