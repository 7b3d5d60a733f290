"use strict";
// Draws the figures whose numbers stand in the page, in the colours of the page or of
// paper; one in a part that is closed is drawn when that is opened.
(() => {
  // A4 between the margins of the style sheet, in CSS pixels.
  const PAPER = { width: 660, ink: "#000", hair: "#aaa", edge: "#555", paper: "#fff" };
  const style = getComputedStyle(document.documentElement);
  const screen = (name) => style.getPropertyValue(`--${name}`).trim();
  const onPaper = (name) => PAPER[name];

  function draw(place, colour, width) {
    const figure = JSON.parse(document.getElementById(place.dataset.figure).textContent);
    const titled = (axis) => ({ ...axis?.title, font: { size: 14 } });
    const axis = { gridcolor: colour("hair"), linecolor: colour("edge"), zeroline: false, showline: true };
    const layout = {
      ...figure.layout,
      width,
      font: { family: "system-ui, sans-serif", size: 14, color: colour("ink") },
      xaxis: { ...figure.layout.xaxis, ...axis, title: titled(figure.layout.xaxis) },
      yaxis: { ...figure.layout.yaxis, ...axis, title: titled(figure.layout.yaxis) },
      hoverlabel: { bgcolor: colour("paper"), font: { color: colour("ink") } },
    };
    window.Plotly.react(place, figure.data, layout, { displayModeBar: false, responsive: !width });
    if (!place.dataset.linked) {
      place.dataset.linked = "true";
      place.on("plotly_click", ({ points }) => points[0].data.meta?.links && open(points[0]));
    }
  }

  // A point of a group leads to the group.
  const open = ({ data, pointIndex }) => {
    const address = data.meta.links[pointIndex];
    if (address) window.location.assign(address);
  };
  const isOpen = (place) => !place.closest("details:not([open])");
  const figures = () => [...document.querySelectorAll("[data-figure]")].filter(isOpen);
  const drawAll = () => figures().forEach((place) => draw(place, screen));

  document.addEventListener("toggle", (event) => {
    if (event.target.open) event.target.querySelectorAll("[data-figure]").forEach((place) => draw(place, screen));
  }, true);
  window.addEventListener("beforeprint", () => {
    figures().forEach((place) => draw(place, onPaper, Number(place.dataset.paper) || PAPER.width));
  });
  window.addEventListener("afterprint", drawAll);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAll);
  drawAll();
})();
