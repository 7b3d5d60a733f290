"use strict";
// Sentences in the reader's language: a script has them in English, the page
// brings the others as data (see templatetags/spoken.py).
(() => {
  const given = JSON.parse(document.getElementById("words")?.textContent ?? "{}");

  // tell("Trying again every {seconds} seconds.", { seconds: 4 })
  window.tell = (sentence, values = {}) =>
    (given[sentence] ?? sentence).replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);
})();
