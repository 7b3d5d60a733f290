"use strict";
// What small scripts of the bench sheet share: when to begin, and how to type.
(() => {
  // Begins now, and again whenever a refused sheet has taken the place of the last.
  window.bench.onSheet = (begin) => {
    const begun = new WeakSet();
    function look() {
      const form = document.querySelector("[data-sheet]");
      if (!form || begun.has(form)) return;
      begun.add(form);
      begin(form);
    }
    look();
    new MutationObserver(look).observe(document.body, { childList: true });
  };

  // The boxes of the form are all that is known: whoever types tells the form.
  window.bench.type = (box, value) => {
    if (box.type === "checkbox" || box.type === "radio") box.checked = value;
    else box.value = value;
    for (const kind of ["input", "change"]) box.dispatchEvent(new Event(kind, { bubbles: true }));
  };

  // The decimal mark of the language that the page speaks.
  const parts = new Intl.NumberFormat(document.documentElement.lang || "en").formatToParts(1.5);
  window.bench.mark = parts.find((part) => part.type === "decimal").value === "," ? "," : ".";
  window.bench.printed = (number, decimals) => number.toFixed(decimals).replace("-", "−").replace(".", window.bench.mark);
})();
