"use strict";
// Puts what a sheet was refused for at its boxes; nothing that was typed is touched.
(() => {
  const { boxes } = window.bench;

  function clear(form) {
    document.querySelector("[data-problems]")?.remove();
    for (const note of form.querySelectorAll(".problem")) note.remove();
    for (const element of form.querySelectorAll("[aria-invalid]")) element.removeAttribute("aria-invalid");
  }

  // The sheet that was sent may have numbered its boxes otherwise than this page.
  function boxOf(form, item, anchor) {
    const [, kind, index] = /^(value|taken)-(\d+)$/.exec(anchor) ?? [];
    if (!kind) return document.getElementById(anchor);
    const sent = new Map(item.body);
    const tube = sent.get(`tube-${index}`);
    const field = kind === "taken" ? `taken/${tube}` : `value/${tube}/${sent.get(`replicate-${index}`)}`;
    return boxes.find(form, field) ?? null;
  }

  function put(box, message) {
    const id = `${box.id}-problem`;
    const note = document.createElement("p");
    note.className = "problem";
    note.textContent = message;
    if (!document.getElementById(id)) note.id = id;
    if (box.matches("input, select")) {
      box.setAttribute("aria-invalid", "true");
      const ids = (box.getAttribute("aria-describedby") ?? "").split(/\s+/).filter((one) => one && one !== id);
      box.setAttribute("aria-describedby", [id, ...ids].join(" "));
      box.closest("details")?.setAttribute("open", "");
    }
    (box.closest(".tube-line") ?? box.closest(".beside-unit") ?? box).after(note);
  }

  window.bench.problems = {
    clear,
    show(form, item, { html, problems }) {
      clear(form);
      const list = new DOMParser().parseFromString(html, "text/html").querySelector("[data-problems]");
      problems.forEach(({ anchor, message }) => {
        const box = boxOf(form, item, anchor);
        if (!box) return;
        put(box, message);
        for (const link of list.querySelectorAll(`a[href="#${CSS.escape(anchor)}"]`)) link.setAttribute("href", `#${box.id}`);
      });
      document.querySelector("main").prepend(list);
      list.focus();
    },
  };
})();
