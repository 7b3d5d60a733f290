"use strict";
// The boxes of a sheet by what they mean, so that phones with different pages
// agree: value/U1/1 (tube, replicate), taken/3, left_out/2, and plain names.
(() => {
  const NOT_KEPT = new Set(["csrfmiddlewaretoken", "key", "for_group"]);

  function nameOf(form, element) {
    const { name, type, value } = element;
    if (!name || NOT_KEPT.has(name) || /^(tube|replicate)-\d+$/.test(name) || "notKept" in element.dataset) return null;
    if (type === "checkbox") return `${name}/${value}`;
    const [, kind, index] = /^(value|taken)-(\d+)$/.exec(name) ?? [];
    if (!kind) return name;
    const tube = form.elements[`tube-${index}`]?.value ?? "";
    return kind === "taken" ? `taken/${tube}` : `value/${tube}/${form.elements[`replicate-${index}`]?.value ?? 1}`;
  }

  function valueOf(form, element) {
    if (element.type === "checkbox") return element.checked ? "1" : "";
    if (element.type === "radio") return form.elements[element.name].value;
    return element.value;
  }

  // A box as somebody has just typed it; it stands after `before_ms`.
  const fresh = (group, field, value, before_ms = 0) => ({ group, field, value, stamp_ms: Math.max(Date.now(), before_ms + 1), synced: false, sent: false });

  const find = (form, field) => [...form.elements].find((element) => nameOf(form, element) === field);

  // Sets a box as if it was typed; the event says that it was not.
  function write(form, field, value) {
    const element = find(form, field);
    if (!element) return;
    if (element.type === "checkbox") element.checked = value !== "";
    else if (element.type === "radio") form.elements[element.name].value = value;
    else element.value = value;
    element.dispatchEvent(new CustomEvent("input", { bubbles: true, detail: { kept: true } }));
    // Somebody has to see what is no longer folded away empty.
    if (value && element.type === "text") element.closest("details")?.setAttribute("open", "");
  }

  const same = (one, other) => {
    const numbers = [one, other].map((text) => window.bench.number(text));
    return numbers.includes(null) ? one.trim() === other.trim() : numbers[0] === numbers[1];
  };

  window.bench.boxes = { nameOf, valueOf, fresh, find, write, same };
})();
