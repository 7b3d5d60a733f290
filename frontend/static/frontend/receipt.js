"use strict";
// The receipt, always in the same corner: a word, a shape and a time. What it means
// stands beside the button.
(() => {
  const clock = (ms) => new Intl.DateTimeFormat(document.documentElement.lang || "en", { hour: "2-digit", minute: "2-digit", hourCycle: "h23" }).format(ms);

  // What is unchanged is not read out again.
  function put(element, text) {
    if (element.textContent !== text) element.textContent = text;
  }

  function say(shape, word, when, sentence) {
    const corner = document.querySelector("[data-corner]");
    corner.querySelector(".shape").className = `shape shape-${shape}`;
    put(corner.querySelector("[data-corner-word]"), word);
    put(corner.querySelector("[data-corner-when]"), typeof when === "number" ? clock(when) : (when ?? ""));
    if (sentence !== undefined) put(document.querySelector("[data-sending-words]"), sentence);
  }

  window.bench.receipt = {
    clock,
    // `when` is a time, or the word for what has to be done first.
    onThisPhone: (when, sentence) => say("phone", tell("on this phone"), when, sentence),
    sending: (sentence) => say("sending", tell("sending"), null, sentence),
    sent: (at_ms, sentence) => say("received", tell("sent"), at_ms, sentence),
  };
})();
