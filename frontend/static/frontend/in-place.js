"use strict";
// Opens what a link leads to in the same page; without this the link just leads there.
for (const link of document.querySelectorAll("[data-in-place]")) {
  const place = document.getElementById(link.dataset.inPlace);
  link.addEventListener("click", async (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    if (link.getAttribute("aria-disabled")) return;
    link.setAttribute("aria-disabled", "true");
    place.textContent = link.dataset.while;
    try {
      const answer = await fetch(link.href, { credentials: "same-origin" });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const part = page.querySelector("[data-in-place-part]") ?? page.querySelector("h1");
      place.replaceChildren(part);
    } catch {
      place.textContent = "No answer from the network. Try again in a moment.";
    }
    link.removeAttribute("aria-disabled");
  });
}
