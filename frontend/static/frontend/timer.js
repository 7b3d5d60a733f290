"use strict";
// The clock of the colour. It keeps the moment at which it ends, not the time that
// has passed, so that a locked phone or a closed page loses nothing.
(() => {
  const PREFIX = "benchwide-timer:";
  const TICK_MS = 1000;
  const VIBRATION_MS = [400, 200, 400];
  const { clock } = window.bench.receipt;

  // A private window may refuse storage; the clock then lasts as long as the page.
  function store(action) {
    try {
      return action(window.localStorage);
    } catch {
      return null;
    }
  }

  function read(place) {
    try {
      const kept = JSON.parse(store((storage) => storage.getItem(place)) ?? "null");
      return Number.isFinite(kept?.ends) ? kept : null;
    } catch {
      return null;
    }
  }

  const plain = (minutes) => String(minutes).replace(".", window.bench.mark);

  function left(ms) {
    const seconds = Math.ceil(Math.max(ms, 0) / 1000);
    return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  }

  function begin(root) {
    const minutes = Number(root.dataset.timer);
    const place = PREFIX + root.dataset.timerOf;
    const part = (name) => root.querySelector(`[data-timer-${name}]`);
    let running = read(place);
    let ticking = null;

    function keep() {
      store((storage) => (running ? storage.setItem(place, JSON.stringify(running)) : storage.removeItem(place)));
    }

    function announce() {
      running.told = true;
      keep();
      part("said").textContent = tell("{minutes} minutes are over. Read your tubes now.", { minutes: plain(minutes) });
      navigator.vibrate?.(VIBRATION_MS);
    }

    function buttonWords(rest) {
      if (!running) return tell("Start the {minutes}-minute clock", { minutes: plain(minutes) });
      return rest > 0 ? tell("Stop the clock") : tell("Put the clock back");
    }

    function show() {
      if (!root.isConnected) {
        stopTicking();
        return;
      }
      const rest = running ? running.ends - Date.now() : minutes * 60_000;
      part("left").textContent = left(rest);
      part("button").textContent = buttonWords(rest);
      if (!running) part("words").textContent = tell("Start it at the last flask’s mark; it goes on while the phone is locked.");
      else if (rest > 0) part("words").textContent = tell("Ends at {time}.", { time: clock(running.ends) });
      else part("words").textContent = tell("Over since {time}: read your tubes now.", { time: clock(running.ends) });
      if (running && rest <= 0 && !running.told) announce();
      if (!running || rest <= 0) stopTicking();
    }

    function stopTicking() {
      clearInterval(ticking);
      ticking = null;
    }

    function go() {
      if (running && ticking === null) ticking = setInterval(show, TICK_MS);
      show();
    }

    part("button").addEventListener("click", () => {
      running = running ? null : { ends: Date.now() + minutes * 60_000, told: false };
      part("said").textContent = running ? tell("Started; ends at {time}.", { time: clock(running.ends) }) : tell("Stopped.");
      keep();
      stopTicking();
      go();
    });
    // Seconds do not pass in a hidden page; when it is seen again it must be right.
    document.addEventListener("visibilitychange", () => document.hidden || go());
    root.hidden = false;
    go();
  }

  window.bench.onSheet((form) => {
    const root = form.querySelector("[data-timer]");
    if (root) begin(root);
  });
})();
