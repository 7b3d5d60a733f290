"use strict";
// The receipt, always in the same corner: a word, a shape and a time. What it means
// stands beside the button.
(() => {
  const clock = (ms) => new Intl.DateTimeFormat(document.documentElement.lang || "en", { hour: "2-digit", minute: "2-digit", hour12: false }).format(ms);

  function say(shape, word, at_ms, sentence) {
    const corner = document.querySelector("[data-corner]");
    const [mark, text] = [corner.querySelector(".shape"), corner.querySelector("[data-corner-word]")];
    const words = at_ms ? `${word} ${clock(at_ms)}` : word;
    // What is unchanged is not read out again.
    if (text.textContent !== words) text.textContent = words;
    mark.className = `shape shape-${shape}`;
    const beside = document.querySelector("[data-sending-words]");
    if (sentence !== undefined && beside.textContent !== sentence) beside.textContent = sentence;
  }

  window.bench.receipt = {
    clock,
    onThisPhone: (at_ms, sentence) => say("phone", "on this phone", at_ms, sentence),
    sending: (sentence) => say("sending", "sending", null, sentence),
    sent: (at_ms, sentence) => say("received", "sent", at_ms, sentence),
  };
})();
