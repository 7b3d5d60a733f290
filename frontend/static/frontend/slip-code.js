"use strict";
// Signs in with the code of a scanned slip. It stands behind the address's #, which
// browsers send to nobody, and leaves the address before anything else happens.
(() => {
  const box = document.querySelector("[data-scanned]");
  const code = window.location.hash.slice(1);
  if (!box || !window.bench.checkCode(code, Number(box.dataset.checkSign), box.dataset.checkKind).isCode) return;
  window.history.replaceState(null, "", window.location.pathname);
  box.value = code;
  box.form.requestSubmit();
})();
