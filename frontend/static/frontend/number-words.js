"use strict";
// A typed number as one reads it aloud, so that a partner can hear a slip.
(() => {
  const SMALL = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen " +
    "fourteen fifteen sixteen seventeen eighteen nineteen"
  ).split(" ");
  const TENS = ". . twenty thirty forty fifty sixty seventy eighty ninety".split(" ");

  function whole(number) {
    if (number < 20) return SMALL[number];
    if (number < 100) return number % 10 ? `${TENS[Math.floor(number / 10)]}-${SMALL[number % 10]}` : TENS[number / 10];
    const rest = number % 100;
    return `${SMALL[Math.floor(number / 100)]} hundred${rest ? ` and ${whole(rest)}` : ""}`;
  }

  // Decimals are read digit by digit, with the zeros that were typed. Nothing for
  // what is no number, or larger than any box takes.
  window.bench.numberInWords = (typed) => {
    const match = /^([+-]?)(\d*)(?:[.,](\d*))?$/.exec(typed.trim().replace("−", "-"));
    if (!match || !(match[2] || match[3]) || Number(match[2]) > 999) return "";
    const digits = [...(match[3] ?? "")].map((digit) => SMALL[Number(digit)]);
    const words = whole(Number(match[2])) + (digits.length ? ` point ${digits.join(" ")}` : "");
    return match[1] === "-" ? `minus ${words}` : words;
  };
})();
