"use strict";
// Draws a form's picture anew while somebody types; without this, "Look" does.
for (const form of document.querySelectorAll("[data-look]")) {
  const place = document.getElementById(form.dataset.look);
  let timer = null;
  let asked = 0;

  async function look() {
    const mine = ++asked;
    const sent = new FormData(form);
    sent.set("look", "1");
    sent.set("part", "1");
    place.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(form.action, { method: "POST", body: sent, credentials: "same-origin" });
      const html = await answer.text();
      // What was asked last counts, whatever is answered last; 422 says what is in the way.
      if (mine === asked && !answer.redirected && (answer.ok || answer.status === 422)) place.innerHTML = html;
    } catch {
      // No network: the picture stays, and "Look" is still there.
    }
    if (mine === asked) place.removeAttribute("aria-busy");
  }

  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(look, 400);
  });
}
