"use strict";
// One tube at a time, in big digits: every box stays a box of the sheet, this only
// shows them one by one and types into them.
(() => {
  const SAY_AFTER_MS = 700;
  const UNITS = { percent_T: "%T", absorbance: "A" };

  // The places to read, in the order of the bench: as they stand on the sheet.
  function slotsOf(form) {
    return [...form.querySelectorAll("[data-slot=first], [data-slot=before]")].map((box) => slotOf(box));
  }

  function slotOf(box) {
    const tube = box.closest("[data-tint]");
    const isBlank = tube.dataset.kind === "blank";
    return {
      box,
      isBlank,
      name: isBlank ? tell("Blank") : tell("Tube {tube}", { tube: tube.dataset.tube }),
      tint: tube.dataset.tint,
      prompt: promptOf(tube, box),
      isAgain: box.dataset.slot !== "first",
      leftOut: tube.querySelector("[name=left_out]"),
      again: [...tube.querySelectorAll("[data-slot=again]")],
      kept: null,
    };
  }

  function promptOf(tube, box) {
    if (box.dataset.slot === "again") return tell("Taken out and put back: what does the meter show now?");
    if (tube.dataset.kind !== "blank") return tube.querySelector(".volumes")?.textContent ?? "";
    return box.dataset.slot === "first"
      ? tell("Blank now: set zero and 100 %T on it. What does it show? It may stay empty.")
      : tell("Put the blank back before the unknown. Has the meter moved? It may stay empty.");
  }

  // "43.5" and its scale as two meters would show it, and as it is read aloud.
  function echoOf(name, typed, scale) {
    const value = window.bench.number(typed);
    const words = window.bench.numberInWords(typed);
    if (value === null || !words) return "";
    const told = { name, words, typed: typed.trim() };
    if (scale === "absorbance") {
      const percent = window.bench.printed(100 * 10 ** -value, 1);
      return tell("{name}: absorbance {words}, {typed} A → {percent} %T", { ...told, percent });
    }
    const absorbance = window.bench.absorbance(value, scale);
    if (absorbance === null) return tell("{name}: {words} percent, {typed} %T", told);
    return tell("{name}: {words} percent, {typed} %T → A {absorbance}", { ...told, absorbance: window.bench.printed(absorbance, 3) });
  }

  const askedAgain = (doubt) => tell("{doubt} Type it again, or go on to keep it.", { doubt });

  class Reader {
    constructor(form, dialog) {
      this.form = form;
      this.dialog = dialog;
      this.slots = slotsOf(form);
      this.at = 0;
      this.past = [];
      this.typing = null;
      this.timer = null;
      this.entry = this.part("entry");
      this.part("mark").textContent = window.bench.mark;
      this.listen();
    }

    part(name) {
      return this.dialog.querySelector(`[data-reader-${name}]`);
    }

    get slot() {
      return this.slots[this.at];
    }

    get scale() {
      return this.form.elements.scale.value;
    }

    get isAtEnd() {
      return this.at === this.slots.length;
    }

    listen() {
      const on = (name, action) => this.dialog.querySelectorAll(`[data-reader-${name}]`).forEach((part) => part.addEventListener("click", () => action(part)));
      on("close", () => this.dialog.close());
      on("move", (part) => this.move(Number(part.dataset.readerMove)));
      on("undo", () => this.undo());
      on("clear", () => this.change(this.slot.box, "", { isWhole: true }));
      on("again", () => this.readAgain());
      on("left-out", () => this.change(this.slot.leftOut, !this.slot.leftOut.checked, { isWhole: true }));
      const pad = this.part("pad");
      // The thumb on a digit must not take the cursor out of the number.
      pad.addEventListener("pointerdown", (event) => event.preventDefault());
      pad.addEventListener("click", (event) => this.press(event.target.dataset.key));
      this.entry.addEventListener("input", () => this.change(this.slot.box, this.entry.value));
      this.dialog.addEventListener("keydown", (event) => this.key(event));
      this.dialog.addEventListener("close", () => this.leave());
      // Somebody else may type too: another phone of the pair, or the sheet itself.
      this.form.addEventListener("input", () => this.dialog.open && this.show());
    }

    key(event) {
      if (event.key === "Enter" && event.target === this.entry) {
        event.preventDefault();
        this.move(event.shiftKey ? -1 : 1);
      } else if (event.key.toLowerCase() === "z" && (event.ctrlKey || event.metaKey)) {
        event.preventDefault();
        this.undo();
      }
    }

    press(key) {
      if (!key) return;
      const { value } = this.slot.box;
      if (key === "back") this.change(this.slot.box, value.slice(0, -1));
      else if (key !== "mark") this.change(this.slot.box, value + key);
      else if (!/[.,]/.test(value)) this.change(this.slot.box, `${value || "0"}${window.bench.mark}`);
    }

    // Typing on in one box is one change; a number that was cleared is another.
    change(box, value, { isWhole = false } = {}) {
      const before = box.type === "checkbox" ? box.checked : box.value;
      if (before === value) return;
      if (isWhole || this.typing !== box) this.past.push({ box, before, at: this.at });
      this.typing = isWhole ? null : box;
      this.slot.kept = null;
      window.bench.type(box, value);
    }

    undo() {
      const last = this.past.pop();
      if (!last) return;
      this.typing = null;
      this.at = last.at;
      window.bench.type(last.box, last.before);
      this.show({ isNew: true });
    }

    move(step) {
      if (step > 0 && !this.isAtEnd && this.asks()) return;
      this.typing = null;
      this.at = Math.min(Math.max(this.at + step, 0), this.slots.length);
      this.show({ isNew: true });
    }

    // A number that looks wrong is asked about once; going on again keeps it.
    asks() {
      const { box } = this.slot;
      const doubt = window.bench.doubt(this.form, box);
      if (!doubt || this.slot.kept === box.value) return false;
      this.slot.kept = box.value;
      this.ask(askedAgain(doubt));
      this.entry.select();
      return true;
    }

    ask(sentence) {
      const place = this.part("doubt");
      if (place.textContent !== sentence) place.textContent = sentence;
    }

    readAgain() {
      const free = this.slot.again.find((box) => !box.value && !this.slots.some((slot) => slot.box === box));
      if (!free) {
        this.ask(tell("Every box of this tube is in use. Change one, or send: the next revision has one more."));
        return;
      }
      this.typing = null;
      this.slots.splice(this.at + 1, 0, slotOf(free));
      this.at += 1;
      this.show({ isNew: true });
    }

    open() {
      const empty = this.slots.findIndex((slot) => !slot.isBlank && !slot.box.value && !slot.leftOut?.checked);
      const isBegun = this.slots.some((slot) => slot.box.value);
      this.at = isBegun ? Math.max(empty, 0) : 0;
      // It begins below the bar, whose corner tells the state of sending.
      this.dialog.style.top = `${document.querySelector(".bar").offsetHeight}px`;
      this.dialog.showModal();
      this.show({ isNew: true });
    }

    leave() {
      const next = this.isAtEnd ? this.form.querySelector(".own summary") : this.form.querySelector("[data-reader-open]");
      next.focus();
    }

    show({ isNew = false } = {}) {
      this.part("page").hidden = this.isAtEnd;
      this.part("end").hidden = !this.isAtEnd;
      this.showRack();
      if (this.isAtEnd) this.showEnd();
      else this.showSlot(isNew);
    }

    showSlot(isNew) {
      const { box, name, prompt, isAgain, leftOut, again } = this.slot;
      this.part("name").textContent = isAgain ? tell("{name}, again", { name }) : name;
      this.part("prompt").textContent = prompt;
      this.part("unit").textContent = UNITS[this.scale];
      if (this.entry.value !== box.value) this.entry.value = box.value;
      const echo = echoOf(name, box.value, this.scale);
      this.part("echo").textContent = leftOut?.checked ? tell("{name}: not measured", { name }) : echo;
      this.say(echo);
      this.part("left-out").hidden = !leftOut;
      this.part("left-out").textContent = leftOut?.checked ? tell("It was measured after all") : tell("Not measured");
      this.part("again").hidden = again.length === 0;
      this.part("undo").disabled = this.past.length === 0;
      this.dialog.querySelectorAll("[data-reader-page] [data-reader-move='-1']").forEach((part) => { part.disabled = this.at === 0; });
      // While the digits are coming, only the first of them can be judged as they stand.
      this.ask(box.value && this.slot.kept === box.value ? askedAgain(window.bench.doubt(this.form, box)) : this.early(box));
      if (isNew) {
        this.entry.focus();
        this.entry.select();
      }
    }

    // What is wrong whatever follows: further digits make a number larger or finer.
    early(box) {
      const value = window.bench.number(box.value);
      return value !== null && value > 1 ? window.bench.doubt(this.form, box) : "";
    }

    showRack() {
      this.part("count").textContent = this.isAtEnd ? "" : tell("{n} of {all}", { n: this.at + 1, all: this.slots.length });
      this.part("rack").replaceChildren(
        ...this.slots.map(({ box, tint, leftOut }, place) => {
          const tube = document.createElement("li");
          tube.className = `colour tint-${tint}`;
          if (place === this.at) tube.classList.add("here");
          if (leftOut?.checked) tube.textContent = "–";
          else if (box.value.trim()) tube.textContent = "✓";
          return tube;
        }),
      );
    }

    showEnd() {
      const open = this.slots.filter((slot) => !slot.isBlank && !slot.box.value.trim() && !slot.leftOut?.checked);
      const odd = this.slots.filter((slot) => window.bench.doubt(this.form, slot.box));
      const names = (slots) => slots.map((slot) => slot.name).join(", ");
      this.part("ended").textContent = open.length ? tell("{n} of {all} are still to read", { n: open.length, all: this.slots.length }) : tell("Every tube is read");
      const words = [];
      if (open.length) words.push(tell("Without a reading: {tubes}.", { tubes: names(open) }));
      if (odd.length) words.push(tell("Look again at: {tubes}.", { tubes: names(odd) }));
      this.part("ended-words").textContent = words.join(" ") || tell("Your line stands on the sheet. Keep the flasks until you have looked at it.");
      this.dialog.querySelector("[data-reader-end] [data-reader-close]").focus();
    }

    // Aloud only when the number stands still, not after each digit.
    say(sentence) {
      clearTimeout(this.timer);
      this.timer = setTimeout(() => { this.part("said").textContent = sentence; }, SAY_AFTER_MS);
    }
  }

  window.bench.onSheet((form) => {
    const dialog = document.querySelector("[data-reader]");
    const door = form.querySelector("[data-reader-door]");
    if (!dialog?.showModal) return;
    const reader = new Reader(form, dialog);
    door.hidden = false;
    form.querySelector("[data-reader-open]").addEventListener("click", () => reader.open());
  });
})();
