"use strict";
// Numbers as people type them, and the straight line through some dots.
window.bench = {
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

  // Least squares through [x, y] dots: null for fewer than three, or all alike.
  line(dots) {
    if (dots.length < 3) return null;
    const mean = (i) => dots.reduce((sum, dot) => sum + dot[i], 0) / dots.length;
    const [x0, y0] = [mean(0), mean(1)];
    const sxx = dots.reduce((sum, [x]) => sum + (x - x0) ** 2, 0);
    if (sxx === 0) return null;
    const slope = dots.reduce((sum, [x, y]) => sum + (x - x0) * (y - y0), 0) / sxx;
    return { slope, intercept: y0 - slope * x0 };
  },
};
