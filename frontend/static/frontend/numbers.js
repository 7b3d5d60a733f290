"use strict";
// Numbers as people type them, and the straight line through some dots.
window.bench ??= {};
Object.assign(window.bench, {
  // A number typed with a comma or a point; null where it is neither.
  number(typed) {
    const text = typed.trim().replace("−", "-");
    if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(text)) return null;
    return Number(text.replace(",", "."));
  },

  absorbance(value, scale) {
    if (scale === "absorbance") return value;
    return value > 0 ? 2 - Math.log10(value) : null;
  },

  // Weighted least squares through dots {x, y}, by sums of deviations from the
  // mean; null for fewer than three, or all alike.
  line(dots, weight = () => 1) {
    if (dots.length < 3) return null;
    const w = dots.map(weight);
    const sum = (term) => dots.reduce((total, dot, i) => total + w[i] * term(dot), 0);
    const all = sum(() => 1);
    const [x0, y0] = [sum(({ x }) => x) / all, sum(({ y }) => y) / all];
    const sxx = sum(({ x }) => (x - x0) ** 2);
    if (!(sxx > all * (1e-9 * x0) ** 2)) return null;
    const sxy = sum(({ x, y }) => (x - x0) * (y - y0));
    // A rise that is nothing but rounding is none.
    const slope = (sxy * sxy) / sxx <= all * (1e-15 * y0) ** 2 ? 0 : sxy / sxx;
    return { slope, intercept: y0 - slope * x0 };
  },

  // How the readings of a meter scatter: what the protocol declares, and the
  // station's own step where it is read on its own scale.
  meter(reading, scale, station) {
    const meter = { light: 0, absorbance: 0, lightRelative: 0, absorbanceRelative: 0 };
    const declared = reading.scale === "absorbance" ? "absorbance" : "light";
    const own = station && station.scale === scale && station.step >= 0;
    const read = scale === "absorbance" ? "absorbance" : "light";
    meter[declared] += reading.sd ** 2;
    meter[own ? read : declared] += (own ? station.step : reading.step) ** 2 / 12;
    meter[`${declared}Relative`] = reading.sd_relative;
    return meter;
  },

  // Variance of one reading, in absorbance, where the absorbance is as given.
  variance(meter, absorbance) {
    const within = Math.min(Math.max(absorbance, -0.5), 4);
    const perT = 1 / Math.LN10;
    return (
      meter.absorbance +
      (meter.lightRelative * perT) ** 2 +
      Math.exp(2 * Math.LN10 * within) * meter.light * 1e-4 * perT ** 2 +
      (meter.absorbanceRelative * within) ** 2
    );
  },

  // The line that the site computes: each dot weighted by what scatters it, its
  // reading and its filling, worked out at a first line without weights. Dots are
  // {x, y, replicates, fill}; `fill` is the relative variance of the filling.
  calibration(dots, meter) {
    const first = this.line(dots);
    if (!first) return null;
    return this.line(dots, ({ x, replicates, fill }) => {
      const rise = first.slope * x;
      return 1 / (this.variance(meter, first.intercept + rise) / replicates + rise * rise * fill);
    });
  },
});
