"use strict";
// Draws the group's own dots and line while the numbers are being typed.
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const [LEFT, RIGHT, TOP, BOTTOM] = [46, 348, 24, 220];
  const TINTS = 6;
  const MOST_TICKS = 5;

  const text = (form, name) => form.elements[name]?.value ?? "";

  function dots(form) {
    const scale = text(form, "scale");
    // A mass that will be refused must not stretch the picture.
    const typed = window.bench.number(text(form, "standard_mass_g"));
    const plausible = typed >= Number(form.dataset.massLow) && typed <= Number(form.dataset.massHigh);
    const mass = plausible ? typed : Number(form.dataset.nominalMass);
    const found = [];
    for (const tube of form.querySelectorAll("[data-tube]")) {
      if (tube.dataset.kind === "blank" || tube.querySelector("[name=left_out]")?.checked) continue;
      const taken = window.bench.number(tube.querySelector("[name^=taken-]")?.value ?? "") ?? Number(tube.dataset.take);
      for (const box of tube.querySelectorAll("[name^=value-]")) {
        const value = window.bench.number(box.value);
        const absorbance = value === null ? null : window.bench.absorbance(value, scale);
        if (absorbance === null) continue;
        const mg_L = tube.dataset.kind === "standard" ? Number(tube.dataset.factor) * mass * taken : null;
        found.push({ tube: tube.dataset.tube, mg_L, absorbance });
      }
    }
    return found;
  }

  // Round numbers above zero, few enough to be read.
  function ticks(high) {
    const power = 10 ** Math.floor(Math.log10(high / MOST_TICKS));
    const step = [1, 2, 2.5, 5, 10].map((size) => size * power).find((size) => high / size <= MOST_TICKS);
    return Array.from({ length: Math.floor(high / step + 1e-9) }, (_, i) => Number(((i + 1) * step).toPrecision(6)));
  }

  function put(picture, kind, attributes, content) {
    const element = document.createElementNS(SVG, kind);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    if (content !== undefined) element.textContent = content;
    picture.append(element);
  }

  function words(n, line) {
    if (line) return `Your line so far, ${n} dots: slope ${line.slope.toFixed(4)} L/mg, intercept ${line.intercept.toFixed(4)}.`;
    if (n === 0) return "Your dots appear here; the line from three standards on.";
    return `${n} of your standards so far; the line comes with the third.`;
  }

  function draw(form, figure) {
    const picture = figure.querySelector("[data-live-picture]");
    const all = dots(form);
    const standards = all.filter((dot) => dot.mg_L !== null);
    const line = window.bench.line(standards.map((dot) => [dot.mg_L, dot.absorbance]));
    for (const dot of all) {
      if (dot.mg_L === null && line && line.slope > 0) dot.readOff = (dot.absorbance - line.intercept) / line.slope;
    }
    const high_x = 1.06 * Math.max(...standards.map((dot) => dot.mg_L), 0.1);
    const high_y = 1.06 * Math.max(...all.map((dot) => dot.absorbance), 0.1);
    const x = (mg_L) => LEFT + (Math.min(Math.max(mg_L, 0), high_x) / high_x) * (RIGHT - LEFT);
    const y = (a) => BOTTOM - (Math.min(Math.max(a, 0), high_y) / high_y) * (BOTTOM - TOP);
    picture.replaceChildren();
    put(picture, "path", { class: "edge", d: `M${LEFT} ${TOP}V${BOTTOM}H${RIGHT}` });
    const axis = document.createElementNS(SVG, "g");
    axis.setAttribute("class", "axis");
    picture.append(axis);
    put(axis, "text", { x: RIGHT, y: BOTTOM + 36, "text-anchor": "end" }, "iron, mg/L");
    put(axis, "text", { x: 4, y: TOP - 10 }, "absorbance");
    // A scale without a dot on it says nothing.
    for (const tick of standards.length ? ticks(high_x) : []) {
      put(axis, "line", { x1: x(tick), x2: x(tick), y1: BOTTOM, y2: BOTTOM + 4 });
      put(axis, "text", { x: x(tick), y: BOTTOM + 17, "text-anchor": "middle" }, tick);
    }
    for (const tick of standards.length ? ticks(high_y) : []) {
      put(axis, "line", { x1: LEFT - 4, x2: LEFT, y1: y(tick), y2: y(tick) });
      put(axis, "text", { x: LEFT - 8, y: y(tick), dy: 4, "text-anchor": "end" }, tick);
    }
    if (line) {
      put(picture, "line", { class: "fit", x1: x(0), y1: y(line.intercept), x2: x(high_x), y2: y(line.intercept + line.slope * high_x) });
    }
    const named = [];
    for (const dot of all) {
      const place = dot.mg_L ?? dot.readOff;
      if (place === undefined) continue;
      const tint = 1 + Math.min(Math.max(Math.floor((place / high_x) * TINTS), 0), TINTS - 1);
      const [cx, cy] = [x(place), y(dot.absorbance)];
      if (dot.mg_L === null) {
        put(picture, "polygon", { class: `dot fill-${tint}`, points: `${cx},${cy - 6} ${cx + 6},${cy} ${cx},${cy + 6} ${cx - 6},${cy}` });
      } else {
        put(picture, "circle", { class: `dot fill-${tint}`, cx, cy, r: 5 });
      }
      // Standards are named below the line, unknown tubes above it; those on
      // one spot share a name.
      const near = named.find((one) => one.isUnknown === (dot.mg_L === null) && Math.hypot(one.cx - cx, one.cy - cy) < 14);
      if (near) {
        if (!near.tubes.includes(dot.tube)) near.tubes.push(dot.tube);
      } else {
        named.push({ cx, cy, isUnknown: dot.mg_L === null, tubes: [dot.tube] });
      }
    }
    for (const { cx, cy, isUnknown, tubes } of named) {
      const place = isUnknown ? { x: cx - 9, y: cy - 7, "text-anchor": "end" } : { x: cx + 8, y: cy + 14 };
      put(picture, "text", { class: "tag", ...place }, tubes.join(", "));
    }
    figure.querySelector("[data-live-words]").textContent = words(standards.length, line);
  }

  window.bench.showLine = (form) => {
    const figure = form.querySelector("[data-live]");
    figure.hidden = false;
    form.addEventListener("input", () => draw(form, figure));
    draw(form, figure);
  };
})();
