"use strict";
// Draws the figures whose numbers stand in the page, in the colours of the page.
(() => {
  const ink = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

  function draw(place) {
    const figure = JSON.parse(document.getElementById(place.dataset.figure).textContent);
    const axis = { gridcolor: ink("--hair"), linecolor: ink("--edge"), zeroline: false, showline: true };
    const layout = {
      ...figure.layout,
      font: { family: "system-ui, sans-serif", size: 14, color: ink("--ink") },
      xaxis: { ...figure.layout.xaxis, ...axis },
      yaxis: { ...figure.layout.yaxis, ...axis },
      hoverlabel: { bgcolor: ink("--paper"), font: { color: ink("--ink") } },
    };
    window.Plotly.react(place, figure.data, layout, { displayModeBar: false, responsive: true });
  }

  const drawAll = () => document.querySelectorAll("[data-figure]").forEach(draw);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAll);
  drawAll();
})();
