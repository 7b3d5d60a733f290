"use strict";
// The sticker of a station has chosen it: that counts more than what was kept.
window.bench.onSheet((form) => {
  const asked = new URLSearchParams(window.location.search).get("station");
  const list = form.elements.station;
  if (asked === null) return;
  const fold = (code) => code.toLowerCase().replace(/[^\p{L}\p{N}]/gu, "");
  const found = [...list.options].find((option) => option.value && fold(option.value) === fold(asked));
  if (found) window.bench.type(list, found.value);
  // Loading the page again later must not undo a later choice.
  window.history.replaceState(null, "", window.location.pathname + window.location.hash);
});
