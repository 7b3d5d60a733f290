"use strict";
// A typed number as one reads it aloud, so that a partner can hear a slip.
(() => {
  const ENGLISH = {
    small: (
      "zero one two three four five six seven eight nine ten eleven twelve thirteen " +
      "fourteen fifteen sixteen seventeen eighteen nineteen"
    ).split(" "),
    tens: ". . twenty thirty forty fifty sixty seventy eighty ninety".split(" "),
    point: "point",
    below100: (tens, unit) => `${ENGLISH.tens[tens]}-${ENGLISH.small[unit]}`,
    hundreds: (hundreds, rest) => `${ENGLISH.small[hundreds]} hundred${rest ? ` and ${rest}` : ""}`,
  };

  // The unit comes before the tens, and one loses its end where something follows.
  const GERMAN = {
    small: (
      "null eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn " +
      "vierzehn fünfzehn sechzehn siebzehn achtzehn neunzehn"
    ).split(" "),
    tens: ". . zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig".split(" "),
    point: "Komma",
    before: (digit) => (digit === 1 ? "ein" : GERMAN.small[digit]),
    below100: (tens, unit) => `${GERMAN.before(unit)}und${GERMAN.tens[tens]}`,
    hundreds: (hundreds, rest) => `${GERMAN.before(hundreds)}hundert${rest}`,
  };

  const LANGUAGES = { en: ENGLISH, de: GERMAN };

  function whole(number, { small, tens, below100, hundreds }) {
    if (number < 20) return small[number];
    if (number < 100) return number % 10 ? below100(Math.floor(number / 10), number % 10) : tens[number / 10];
    const rest = number % 100;
    return hundreds(Math.floor(number / 100), rest ? whole(rest, { small, tens, below100 }) : "");
  }

  // Decimals are read digit by digit, with the zeros that were typed. Nothing for
  // what is no number, or larger than any box takes; digits where the words of a
  // language are not known here.
  window.bench.numberInWords = (typed, language = document.documentElement.lang || "en") => {
    const match = /^([+-]?)(\d*)(?:[.,](\d*))?$/.exec(typed.trim().replace("−", "-"));
    if (!match || !(match[2] || match[3]) || Number(match[2]) > 999) return "";
    const words = LANGUAGES[language.split("-")[0]];
    if (!words) return typed.trim();
    const digits = [...(match[3] ?? "")].map((digit) => words.small[Number(digit)]);
    const said = whole(Number(match[2]), words) + (digits.length ? ` ${words.point} ${digits.join(" ")}` : "");
    return match[1] === "-" ? `minus ${said}` : said;
  };
})();
