"use strict";
// Tells as it is typed whether a code can be one: the mathematics of codes with a
// check sign, as the server has it.
window.bench ??= {};
(() => {
  const ALPHABET = "346789ACDEFHJKMNPRTVWXY";
  const PART = 3;
  // What is said of a code, by what it is the code of.
  const SAID = {
    slip: {
      strange: (told) => tell("Not a slip code: it has {signs}, which none has.", told),
      long: (told) => tell("Not a slip code: it has {n} signs, not {length}.", told),
      off: () => tell("Not a slip code: one character is off, or two are swapped."),
      one: () => tell("Not a slip code yet: one more sign."),
      more: (told) => tell("Not a slip code yet: {n} more signs.", told),
    },
    vial: {
      strange: (told) => tell("Not a vial label: it has {signs}, which none has.", told),
      long: (told) => tell("Not a vial label: it has {n} signs, not {length}.", told),
      off: () => tell("Not a vial label: one character is off, or two are swapped."),
      one: () => tell("Not a vial label yet: one more sign."),
      more: (told) => tell("Not a vial label yet: {n} more signs.", told),
    },
  };

  const bare = (typed) => typed.replace(/[ \-–—.\t]/g, "").toUpperCase();
  const inParts = (code) => code.match(new RegExp(`.{1,${PART}}`, "g")).join("-");

  // With weights 1, 2, … modulo a prime, any one wrong sign and any swap of
  // neighbours changes the sum, which is 0 for a code.
  function fits(code) {
    const sum = [...code].reduce((total, sign, place) => total + (place + 1) * ALPHABET.indexOf(sign), 0);
    return sum % ALPHABET.length === 0;
  }

  // What can be said of a code as typed so far, and whether it can be one: true,
  // false, or null while signs are missing. `later` is said when the box is left.
  window.bench.checkCode = (typed, length, kind, same = "") => {
    const code = bare(typed);
    const said = SAID[kind];
    if (!code) return { isCode: null, words: "" };
    const strange = [...new Set(code)].filter((sign) => !ALPHABET.includes(sign)).sort();
    if (strange.length) return { isCode: false, words: said.strange({ signs: strange.join(", ") }) };
    if (code.length > length) return { isCode: false, words: said.long({ n: code.length, length }) };
    if (code.length < length) {
      const n = length - code.length;
      if (n === 1) return { isCode: null, words: tell("one more sign"), later: said.one() };
      return { isCode: null, words: tell("{n} more signs", { n }), later: said.more({ n }) };
    }
    if (!fits(code)) return { isCode: false, words: said.off() };
    if (same && bare(same) !== code) return { isCode: false, words: tell("{code} is another vial: yours is {same}. Ask your teaching assistant.", { code: inParts(code), same }) };
    return { isCode: true, words: `${inParts(code)} ✓` };
  };

  function begin(box) {
    const place = document.getElementById(box.getAttribute("aria-describedby").split(" ").find((id) => id.endsWith("-check")));
    function look() {
      const { isCode, words, later } = window.bench.checkCode(box.value, Number(box.dataset.checkSign), box.dataset.checkKind, box.dataset.checkSame);
      // Nobody is corrected while still typing.
      place.textContent = (document.activeElement !== box && later) || words;
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
