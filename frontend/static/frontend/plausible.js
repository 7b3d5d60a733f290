"use strict";
// Asks at once about a number that looks wrong; the sheet takes it all the same.
(() => {
  // Where a reading belongs to the other scale: an absorbance typed for %T is 1 or
  // less, a %T typed for absorbance is above 2.5. Both are common practice.
  const LIKE_ABSORBANCE = 1;
  const LIKE_PERCENT = 2.5;
  const SPEAK_AFTER_MS = 600;
  const UNITS = { percent_T: "%T", absorbance: "A" };
  const OTHER = { percent_T: "absorbance", absorbance: "percent_T" };
  // Whole sentences, by the scale that they are about.
  const LOOKS_LIKE = {
    percent_T: (told) => tell("{value} looks like % transmittance. Is the scale right?", told),
    absorbance: (told) => tell("{value} looks like absorbance. Is the scale right?", told),
  };
  const MANY_LOOK_LIKE = {
    percent_T: (told) => tell("{odd} of {n} readings look like % transmittance.", told),
    absorbance: (told) => tell("{odd} of {n} readings look like absorbance.", told),
  };
  const STATION_SHOWS = {
    percent_T: (told) => tell("Station {station} shows % transmittance.", told),
    absorbance: (told) => tell("Station {station} shows absorbance.", told),
  };
  const CHANGE_TO = {
    percent_T: () => tell("Change the scale to % transmittance"),
    absorbance: () => tell("Change the scale to absorbance"),
  };

  const plain = (number) => String(Number(number.toPrecision(12))).replace("-", "−").replace(".", window.bench.mark);
  const scaleOf = (form) => form.elements.scale.value;
  const stationOf = (form) => form.elements.station?.selectedOptions[0]?.dataset ?? {};

  function looksLikeOther(value, scale) {
    return scale === "percent_T" ? value > 0 && value <= LIKE_ABSORBANCE : value > LIKE_PERCENT && value <= 120;
  }

  // The meter's step is known only for the scale that the meter has.
  function isOffStep(form, value) {
    const { scale, step } = stationOf(form);
    if (!step || scale !== scaleOf(form)) return 0;
    const steps = value / Number(step);
    return Math.abs(steps - Math.round(steps)) > 1e-6 ? Number(step) : 0;
  }

  function ofReading(form, value) {
    const scale = scaleOf(form);
    const limits = form.querySelector("[data-limits]").dataset;
    const [low, high] = scale === "percent_T" ? [limits.percentLow, limits.percentHigh] : [limits.absorbanceLow, limits.absorbanceHigh];
    if (looksLikeOther(value, scale)) return LOOKS_LIKE[OTHER[scale]]({ value: plain(value) });
    const told = { value: plain(value), unit: UNITS[scale], low: plain(Number(low)), high: plain(Number(high)) };
    if (value < Number(low) || value > Number(high)) return tell("{value} {unit} is outside {low} to {high}. What does the meter show?", told);
    const step = isOffStep(form, value);
    if (step) return tell("{value} is finer than this meter’s step of {step} {unit}. What does it show?", { ...told, step: plain(step) });
    return "";
  }

  function ofMass(box, value) {
    const { low, high } = box.dataset;
    if (value >= Number(low) && value <= Number(high)) return "";
    const in_g = value / 1000;
    const told = { value: plain(value), in_g: plain(in_g), low: plain(Number(low)), high: plain(Number(high)) };
    if (in_g >= Number(low) && in_g <= Number(high)) return tell("{value} looks like milligrams: in grams {in_g}.", told);
    return tell("{value} g is outside {low} to {high} g. Compare with the balance print.", told);
  }

  function ofVolume(box, value) {
    if (value > 0 && value <= Number(box.dataset.high)) return "";
    return tell("{value} mL cannot have gone into a {flask} mL flask.", { value: plain(value), flask: plain(Number(box.dataset.high)) });
  }

  // What looks wrong about a box, as a question; empty if nothing does.
  window.bench.doubt = (form, box) => {
    if (!box.value.trim()) return "";
    const value = window.bench.number(box.value);
    if (value === null) return tell("“{typed}” is not a number. Type digits and one comma or point.", { typed: box.value.trim() });
    if (box.dataset.plausible === "mass") return ofMass(box, value);
    if (box.dataset.plausible === "volume") return ofVolume(box, value);
    return ofReading(form, value);
  };

  function aboutScale(form) {
    const scale = scaleOf(form);
    const values = [...form.querySelectorAll("[data-plausible=reading]")].map((box) => window.bench.number(box.value)).filter((value) => value !== null);
    const odd = values.filter((value) => looksLikeOther(value, scale)).length;
    // One may be a slip of typing; two, and most, are the scale.
    if (odd >= 2 && odd > values.length / 2) return MANY_LOOK_LIKE[OTHER[scale]]({ odd, n: values.length });
    const own = stationOf(form).scale;
    if (own && own !== scale) return STATION_SHOWS[own]({ station: form.elements.station.value });
    return "";
  }

  function offerScale(form, place) {
    const sentence = aboutScale(form);
    const other = OTHER[scaleOf(form)];
    if (place.dataset.said === sentence + other) return;
    place.dataset.said = sentence + other;
    place.replaceChildren();
    if (!sentence) return;
    const words = document.createElement("p");
    words.textContent = sentence;
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = CHANGE_TO[other]();
    button.addEventListener("click", () => {
      const radio = form.querySelector(`[name=scale][value=${other}]`);
      window.bench.type(radio, true);
      radio.focus();
    });
    place.append(words, button);
  }

  window.bench.onSheet((form) => {
    const said = form.querySelector("[data-doubt-said]");
    const scalePlace = form.querySelector("[data-scale-doubt]");
    let timer = null;
    function speak(sentence) {
      clearTimeout(timer);
      timer = setTimeout(() => { said.textContent = sentence; }, SPEAK_AFTER_MS);
    }
    function look(box) {
      const place = document.getElementById(`${box.id}-doubt`);
      const sentence = window.bench.doubt(form, box);
      if (place.textContent !== sentence) place.textContent = sentence;
      return sentence;
    }
    const all = () => form.querySelectorAll("[data-plausible]").forEach(look);
    form.addEventListener("input", (event) => {
      if (event.target.matches("[data-plausible]")) speak(look(event.target));
      else if (event.target.matches("[name=scale], [name=station]")) all();
      offerScale(form, scalePlace);
    });
    all();
    offerScale(form, scalePlace);
  });
})();
