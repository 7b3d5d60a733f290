"use strict";
// Sheets that wait to be sent. A sheet is put here with its key before anything is
// sent, and stays until the site has it: one key is one submission, however often
// it is tried.
(() => {
  const WAITS_S = [2, 4, 8, 15, 30];
  const { keeper, site } = window.bench;

  const newKey = () => {
    const bytes = [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0"));
    return [4, 2, 2, 2, 6].map((count) => bytes.splice(0, count).join("")).join("-");
  };

  // Written as the form itself is sent without scripts: in parts with a head for each
  // box, a sheet is several times as long and takes the site longer to read.
  const bodyOf = ({ body, key, pressed_ms }, phone) => new URLSearchParams([...body, ["key", key], ["phone", phone], ["pressed_ms", pressed_ms]]);

  // `before` ends when the site has all that was typed; `inTurn` lets nothing meet meanwhile.
  window.bench.outbox = (group, { phone, before, inTurn, onStatus }) => {
    let tries = 0;
    let timer = null;
    let running = null;

    async function attempt(item) {
      const { status, content } = await site.ask(item.url, { method: "POST", body: bodyOf(item, phone) });
      if (status === 201 || status === 422) {
        await keeper.unpost(item.key);
        await onStatus(status === 201 ? "received" : "refused", { item, ...content });
        return true;
      }
      if (status === 401) onStatus("signed-out");
      else if (status === 409) onStatus("other-group", content.group);
      else throw new Error(`status ${status}`);
      return false;
    }

    async function send() {
      for (const item of await keeper.waiting(group)) {
        onStatus("sending", { item });
        if (!(await inTurn(() => attempt(item)))) return;
      }
      tries = 0;
    }

    // Two tabs of one phone take turns.
    const alone = (action) => (navigator.locks ? navigator.locks.request(`bench-outbox:${group}`, action) : action());

    async function once() {
      if (!(await keeper.waiting(group)).length) return;
      await before();
      try {
        await alone(send);
      } catch ({ isAway }) {
        const wait_s = WAITS_S[Math.min(tries, WAITS_S.length - 1)];
        tries += 1;
        onStatus("silent", { wait_s, isAway });
        timer = setTimeout(flush, wait_s * 1000);
      }
    }

    function flush() {
      clearTimeout(timer);
      running ??= once().finally(() => {
        running = null;
      });
      return running;
    }

    const again = () => document.hidden || flush();
    window.addEventListener("online", again);
    document.addEventListener("visibilitychange", again);

    return {
      flush,
      waiting: () => keeper.waiting(group),
      // Pressing twice is sending once.
      async post(url, body, pressed_ms) {
        const waiting = await keeper.waiting(group);
        const last = waiting.at(-1);
        if (!last || JSON.stringify(last.body) !== JSON.stringify(body)) {
          await keeper.post({ group, url, key: newKey(), body, pressed_ms });
        }
        tries = 0;
        if (running) await running;
        return flush();
      },
    };
  };
})();
