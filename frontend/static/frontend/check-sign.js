"use strict";
// Tells as it is typed whether a code can be one: the mathematics of codes with a
// check sign, as the server has it.
window.bench ??= {};
(() => {
  const ALPHABET = "346789ACDEFHJKMNPRTVWXY";
  const PART = 3;
  const NUMBERS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];

  const bare = (typed) => typed.replace(/[ \-–—.\t]/g, "").toUpperCase();
  const inParts = (code) => code.match(new RegExp(`.{1,${PART}}`, "g")).join("-");

  // With weights 1, 2, … modulo a prime, any one wrong sign and any swap of
  // neighbours changes the sum, which is 0 for a code.
  function fits(code) {
    const sum = [...code].reduce((total, sign, place) => total + (place + 1) * ALPHABET.indexOf(sign), 0);
    return sum % ALPHABET.length === 0;
  }

  // What can be said of a code as typed so far, and whether it can be one: true,
  // false, or null while signs are missing.
  window.bench.checkCode = (typed, length, noun, same = "") => {
    const code = bare(typed);
    if (!code) return { isCode: null, words: "" };
    const strange = [...new Set(code)].filter((sign) => !ALPHABET.includes(sign)).sort();
    if (strange.length) return { isCode: false, words: `Not a ${noun}: it has ${strange.join(", ")}, which none has.` };
    if (code.length > length) return { isCode: false, words: `Not a ${noun}: it has ${code.length} signs, not ${length}.` };
    if (code.length < length) {
      const missing = length - code.length;
      return { isCode: null, words: `${NUMBERS[missing]} more ${missing === 1 ? "sign" : "signs"}` };
    }
    if (!fits(code)) return { isCode: false, words: `Not a ${noun}: one character is off, or two are swapped.` };
    if (same && bare(same) !== code) return { isCode: false, words: `${inParts(code)} is another vial: yours is ${same}. Ask your teaching assistant.` };
    return { isCode: true, words: `${inParts(code)} ✓` };
  };

  function begin(box) {
    const place = document.getElementById(box.getAttribute("aria-describedby").split(" ").find((id) => id.endsWith("-check")));
    function look() {
      const { isCode, words } = window.bench.checkCode(box.value, Number(box.dataset.checkSign), box.dataset.checkNoun, box.dataset.checkSame);
      // Nobody is corrected while still typing.
      place.textContent = isCode === null && document.activeElement !== box && words ? `Not a ${box.dataset.checkNoun} yet: ${words}.` : words;
      place.dataset.is = String(isCode);
    }
    box.closest("[data-in-hand]")?.removeAttribute("hidden");
    box.addEventListener("input", look);
    box.addEventListener("blur", look);
    look();
  }

  const boxes = () => document.querySelectorAll("[data-check-sign]").forEach(begin);
  if (window.bench.onSheet && document.querySelector("[data-sheet]")) window.bench.onSheet(boxes);
  else boxes();
})();
