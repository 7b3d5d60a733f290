"use strict";
// Draws the group's own dots and line while the numbers are being typed.
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const [LEFT, RIGHT, TOP, BOTTOM] = [46, 348, 24, 220];
  const TINTS = 6;
  const MOST_TICKS = 5;

  const text = (form, name) => form.elements[name]?.value ?? "";
  const leftOut = (form, tube) => [...form.querySelectorAll("[name=left_out]")].some((box) => box.checked && box.value === tube);

  // Each tube's usable absorbances, in the order of the sheet.
  function absorbances(form) {
    const found = new Map();
    const scale = text(form, "scale");
    for (const { name, value } of form.elements) {
      const index = /^value-(\d+)$/.exec(name)?.[1];
      const tube = index && text(form, `tube-${index}`);
      if (!tube || leftOut(form, tube)) continue;
      const number = window.bench.number(value);
      const absorbance = number === null ? null : window.bench.absorbance(number, scale);
      if (absorbance !== null) found.set(tube, [...(found.get(tube) ?? []), absorbance]);
    }
    return found;
  }

  function taken(form, tube, nominal) {
    for (const { name, value } of form.elements) {
      const index = /^taken-(\d+)$/.exec(name)?.[1];
      if (index && text(form, `tube-${index}`) === tube) return window.bench.number(value) ?? nominal;
    }
    return nominal;
  }

  function fill(rule, volume) {
    return volume > 0 ? rule.flask + rule.fixed_mL2 / (volume * volume) + rule.proportional : 0;
  }

  // The standards as dots of the line, replicates averaged; then those of the
  // unknown tubes, whose place the line tells.
  window.bench.dots = (form, rules) => {
    // A mass that will be refused must not stretch the picture.
    const typed = window.bench.number(text(form, "standard_mass_g"));
    const plausible = typed >= Number(form.dataset.massLow) && typed <= Number(form.dataset.massHigh);
    const mass = plausible ? typed : Number(form.dataset.nominalMass);
    const [standards, unknowns] = [[], []];
    const read = absorbances(form);
    const mean = (values) => values.reduce((sum, value) => sum + value, 0) / values.length;
    for (const [tube, values] of read) {
      const rule = rules.standards[tube];
      const dot = { tube, y: mean(values), replicates: values.length };
      if (rule) {
        const volume = taken(form, tube, rule.take_mL);
        standards.push({ ...dot, x: rule.factor * mass * volume, fill: fill(rule, volume) });
      } else if (tube !== "blank") {
        unknowns.push(dot);
      }
    }
    const blank = read.get("blank");
    const origin = { tube: "blank", x: 0, y: blank ? mean(blank) : 0, replicates: blank?.length ?? 1, fill: 0 };
    return { standards, unknowns, origin: rules.use_blank ? [origin] : [] };
  };

  window.bench.ownLine = (form, rules) => {
    const { standards, origin } = window.bench.dots(form, rules);
    if (standards.length < 3 || !rules.reading) return null;
    const station = form.elements.station?.selectedOptions?.[0]?.dataset ?? {};
    const own = station.scale ? { scale: station.scale, step: Number(station.step) } : null;
    return window.bench.calibration([...origin, ...standards], window.bench.meter(rules.reading, text(form, "scale"), own));
  };

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
    return element;
  }

  const formatted = (value, digits) => new Intl.NumberFormat(document.documentElement.lang || "en", digits).format(value).replace("-", "−");
  const fixed = (value) => formatted(value, { minimumFractionDigits: 4, maximumFractionDigits: 4 });
  const ticked = (value) => formatted(value, { maximumFractionDigits: 6, useGrouping: false });

  function words(n, line) {
    if (line) {
      const told = { n, slope: fixed(line.slope), intercept: fixed(line.intercept) };
      return tell("Your line so far, {n} dots: slope {slope} L/mg, intercept {intercept}. Each dot weighs by how surely it is read and filled, as when it is computed.", told);
    }
    if (n === 0) return tell("Your dots appear here; the line from three standards on.");
    return tell("{n} of your standards so far; the line comes with the third.", { n });
  }

  function drawAxes(picture, scale, withTicks) {
    const { x, y, highX, highY } = scale;
    put(picture, "path", { class: "edge", d: `M${LEFT} ${TOP}V${BOTTOM}H${RIGHT}` });
    const axis = put(picture, "g", { class: "axis" });
    put(axis, "text", { x: RIGHT, y: BOTTOM + 36, "text-anchor": "end" }, tell("iron, mg/L"));
    put(axis, "text", { x: 4, y: TOP - 10 }, tell("absorbance"));
    // A scale without a dot on it says nothing.
    if (!withTicks) return;
    for (const tick of ticks(highX)) {
      put(axis, "line", { x1: x(tick), x2: x(tick), y1: BOTTOM, y2: BOTTOM + 4 });
      put(axis, "text", { x: x(tick), y: BOTTOM + 17, "text-anchor": "middle" }, ticked(tick));
    }
    for (const tick of ticks(highY)) {
      put(axis, "line", { x1: LEFT - 4, x2: LEFT, y1: y(tick), y2: y(tick) });
      put(axis, "text", { x: LEFT - 8, y: y(tick), dy: 4, "text-anchor": "end" }, ticked(tick));
    }
  }

  // Standards are named below the line, unknown tubes above it; those on one spot
  // share a name.
  function drawNames(picture, placed) {
    const named = [];
    for (const { cx, cy, isUnknown, tube } of placed) {
      const near = named.find((one) => one.isUnknown === isUnknown && Math.hypot(one.cx - cx, one.cy - cy) < 14);
      if (near) near.tubes.push(tube);
      else named.push({ cx, cy, isUnknown, tubes: [tube] });
    }
    for (const { cx, cy, isUnknown, tubes } of named) {
      const place = isUnknown ? { x: cx - 9, y: cy - 7, "text-anchor": "end" } : { x: cx + 8, y: cy + 14 };
      put(picture, "text", { class: "tag", ...place }, tubes.join(", "));
    }
  }

  function drawDots(picture, dots, { x, y, highX }) {
    return dots.map(({ tube, place, absorbance, isUnknown }) => {
      const tint = 1 + Math.min(Math.max(Math.floor((place / highX) * TINTS), 0), TINTS - 1);
      const [cx, cy] = [x(place), y(absorbance)];
      if (isUnknown) {
        put(picture, "polygon", { class: `dot fill-${tint}`, points: `${cx},${cy - 6} ${cx + 6},${cy} ${cx},${cy + 6} ${cx - 6},${cy}` });
      } else {
        put(picture, "circle", { class: `dot fill-${tint}`, cx, cy, r: 5 });
      }
      return { cx, cy, isUnknown, tube };
    });
  }

  function draw(form, figure, rules) {
    const picture = figure.querySelector("[data-live-picture]");
    const { standards, unknowns } = window.bench.dots(form, rules);
    const line = window.bench.ownLine(form, rules);
    const highX = 1.06 * Math.max(...standards.map((dot) => dot.x), 0.1);
    const highY = 1.06 * Math.max(...[...standards, ...unknowns].map((dot) => dot.y), 0.1);
    const x = (mg_L) => LEFT + (Math.min(Math.max(mg_L, 0), highX) / highX) * (RIGHT - LEFT);
    const y = (a) => BOTTOM - (Math.min(Math.max(a, 0), highY) / highY) * (BOTTOM - TOP);
    const scale = { x, y, highX, highY };
    picture.replaceChildren();
    drawAxes(picture, scale, standards.length > 0);
    const dots = standards.map((dot) => ({ tube: dot.tube, place: dot.x, absorbance: dot.y, isUnknown: false }));
    if (line) {
      put(picture, "line", { class: "fit", x1: x(0), y1: y(line.intercept), x2: x(highX), y2: y(line.intercept + line.slope * highX) });
    }
    if (line?.slope > 0) {
      for (const { tube, y: a } of unknowns) dots.push({ tube, place: (a - line.intercept) / line.slope, absorbance: a, isUnknown: true });
    }
    drawNames(picture, drawDots(picture, dots, scale));
    figure.querySelector("[data-live-words]").textContent = words(standards.length, line);
  }

  window.bench.showLine = (form) => {
    const figure = form.querySelector("[data-live]");
    const rules = JSON.parse(document.getElementById("line-rules").textContent);
    figure.hidden = false;
    let planned = false;
    // Many boxes filled at once are drawn once.
    form.addEventListener("input", () => {
      if (planned) return;
      planned = true;
      queueMicrotask(() => {
        planned = false;
        draw(form, figure, rules);
      });
    });
    draw(form, figure, rules);
  };
})();
