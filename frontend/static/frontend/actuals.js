"use strict";
// Repeats in the list of steps what the group weighed and took itself.
window.bench.onSheet((form) => {
  const places = new Map([...document.querySelectorAll("[data-actual-of]")].map((place) => [place.dataset.actualOf, place]));
  function show(box) {
    const place = places.get(box?.name);
    if (!place) return;
    place.hidden = !box.value.trim();
    place.querySelector("[data-actual]").textContent = `${box.value.trim()} ${place.dataset.actualUnit}`;
  }
  for (const name of places.keys()) show(form.elements[name]);
  form.addEventListener("input", (event) => show(event.target));
  // "Other volume" leads to a box that may be folded away.
  for (const link of document.querySelectorAll(".takes a")) {
    link.addEventListener("click", (event) => {
      const box = document.getElementById(link.hash.slice(1));
      event.preventDefault();
      box.closest("details").open = true;
      box.focus();
    });
  }
});
