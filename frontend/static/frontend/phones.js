"use strict";
// Keeps a sheet on this phone as it is typed, and lets it meet the sheet of the
// pair's other phone on the site: the later edit of a box stands, the earlier one
// is shown beside it.
(() => {
  const POLL_MS = 10_000;
  const IDLE_MS = 1_200;
  const MOST_EDITS = 200;
  const { boxes: named, keeper, receipt, site } = window.bench;

  window.bench.phones = async (form, { onStatus }) => {
    const group = form.dataset.draft;
    const url = form.dataset.draftUrl;
    const phone = await keeper.phone();
    const kept = new Map((await keeper.boxes(group)).map((box) => [box.field, box]));
    let seen = (await keeper.note(`seen:${group}`)) ?? "";
    let timer = null;
    let running = null;
    let pressed_ms = 0;

    // One box after the other: what was typed last is written last.
    let writing = Promise.resolve();
    const write = (boxes) => (writing = writing.then(() => keeper.putBoxes(boxes)));

    const unsent = () => [...kept.values()].filter((box) => !box.sent);
    const unsynced = () => [...kept.values()].filter((box) => !box.synced);

    function keep(element) {
      const field = named.nameOf(form, element);
      if (!field) return;
      const before_ms = Math.max(pressed_ms, kept.get(field)?.stamp_ms ?? 0);
      const box = named.fresh(group, field, named.valueOf(form, element), before_ms);
      kept.set(field, box);
      write([box]).then(() => onStatus("kept"));
      clearTimeout(timer);
      timer = setTimeout(meet, IDLE_MS);
    }

    // A page from before what is kept here is filled with all of it, a newer one
    // only with what the site does not know yet.
    function restore(touched) {
      const parts = (mark) => (mark || "0-0").split("-").map(Number);
      const [page, mine] = [parts(form.dataset.seen), parts(seen)];
      const isOld = page[0] < mine[0] || page[1] < mine[1];
      let count = 0;
      for (const { field, value, synced } of kept.values()) {
        const element = named.find(form, field);
        if (!element || touched.has(field) || (synced && !isOld)) continue;
        if (named.valueOf(form, element) === value) continue;
        named.write(form, field, value);
        count += 1;
      }
      return count;
    }

    function showEarlier(field, box) {
      const element = named.find(form, field);
      if (!element || element.type !== "text") return;
      const id = `${element.id}-earlier`;
      document.getElementById(id)?.remove();
      const earlier = box.earlier.find((one) => one.value.trim() && one.phone !== box.phone && !named.same(one.value, box.value));
      const ids = new Set((element.getAttribute("aria-describedby") ?? "").split(/\s+/).filter((one) => one && one !== id));
      if (earlier) {
        const note = document.createElement("p");
        note.className = "earlier";
        note.id = id;
        const told = { value: earlier.value, time: receipt.clock(earlier.at_ms) };
        const words = document.createElement("span");
        words.textContent = earlier.phone === phone ? tell("earlier {value}, from this phone, {time}", told) : tell("earlier {value}, from the other phone, {time}", told);
        note.append(words);
        const button = document.createElement("button");
        button.type = "button";
        button.className = "quiet";
        button.textContent = tell("Take {value}", told);
        button.addEventListener("click", () => {
          element.value = earlier.value;
          element.dispatchEvent(new Event("input", { bubbles: true }));
          element.focus();
        });
        note.append(button);
        (element.closest(".tube-line, .field") ?? element).after(note);
        ids.add(id);
      }
      if (ids.size) element.setAttribute("aria-describedby", [...ids].join(" "));
      else element.removeAttribute("aria-describedby");
    }

    async function adopt(content) {
      const changed = [];
      for (const [field, box] of Object.entries(content.boxes)) {
        showEarlier(field, box);
        const mine = kept.get(field);
        // What is still on its way is later than what the site knows.
        if (mine && !mine.synced) continue;
        const element = named.find(form, field);
        const isBusy = element === document.activeElement && mine;
        if (isBusy && !named.same(mine.value, box.value)) continue;
        if (!mine || mine.value !== box.value || mine.sent !== box.sent) {
          const next = { group, field, value: box.value, stamp_ms: mine?.stamp_ms ?? 0, synced: true, sent: box.sent, other: box.phone !== phone };
          kept.set(field, next);
          changed.push(next);
        }
        if (element && !named.same(named.valueOf(form, element), box.value)) named.write(form, field, box.value);
      }
      if (changed.length) await write(changed);
      seen = content.seen;
      await keeper.setNote(`seen:${group}`, seen);
    }

    async function once() {
      const edits = unsynced().slice(0, MOST_EDITS);
      const { status, content } = edits.length
        ? await site.askJson(url, {
            group,
            phone,
            sent_ms: Date.now(),
            edits: edits.map(({ field, value, stamp_ms }) => ({ field, value, stamp_ms })),
          })
        : await site.ask(`${url}?seen=${seen}`);
      if (status === 401) return onStatus("signed-out");
      if (status === 409) return onStatus("other-group", content.group);
      // What the site will never take must not stand in the way of the rest.
      if (status === 422 || status === 413) edits.forEach((box) => (box.synced = true));
      if (status === 403) {
        await site.ask(url);
        throw new Error("refused without a token");
      }
      if (status !== 200) return undefined;
      if (content.group !== group) return onStatus("other-group", content.group);
      const met = edits.filter((box) => kept.get(box.field)?.stamp_ms === box.stamp_ms).map((box) => ({ ...box, synced: true }));
      met.forEach((box) => kept.set(box.field, box));
      if (met.length) await write(met);
      await adopt(content);
      onStatus("met", content);
      if (unsynced().length) timer = setTimeout(meet, IDLE_MS);
      return undefined;
    }

    // Meetings and sendings take turns: what the site answers to a meeting that a
    // sending has overtaken would call unsent what is sent.
    let last = Promise.resolve();
    const inTurn = (action) => (last = last.then(action, action));

    // One meeting at a time; whoever asks meanwhile waits for it.
    function meet() {
      clearTimeout(timer);
      running ??= inTurn(once)
        .catch(({ isAway }) => onStatus("silent", { isAway }))
        .finally(() => {
          running = null;
          pollLater();
        });
      return running;
    }

    // Whoever sends has all of it on the site first, for the other phone: also what was
    // typed while a meeting was under way, which had begun without it.
    async function meetWithAll() {
      if (running) await running;
      for (let left = Infinity; unsynced().length < left; ) {
        left = unsynced().length;
        await meet();
      }
    }

    function poll() {
      if (!document.hidden && navigator.onLine) meet();
    }

    // Whoever types meets the other phone anyway: only a silence is looked into.
    let polling = null;
    function pollLater() {
      clearTimeout(polling);
      polling = setTimeout(() => {
        pollLater();
        poll();
      }, POLL_MS);
    }

    form.addEventListener("input", (event) => {
      if (!event.detail?.kept) keep(event.target);
    });
    // Leaving a box is the moment for what came for it meanwhile.
    form.addEventListener("focusout", () => unsynced().length && meet());
    pollLater();
    window.addEventListener("online", poll);
    document.addEventListener("visibilitychange", poll);

    return {
      phone,
      inTurn,
      restore,
      keep: (field) => keep(named.find(form, field)),
      meet,
      meetWithAll,
      poll,
      unsent,
      settled: () => writing,
      // What is typed from now on is not on the sheet that is being sent, whatever the
      // clock of the phone does.
      press: () => (pressed_ms = Math.max(Date.now(), ...[...kept.values()].map((box) => box.stamp_ms))),
      // What was on a sheet that is received needs no sending any more.
      received: (pressed_ms) => {
        const sent = unsent().filter((box) => box.stamp_ms <= pressed_ms).map((box) => ({ ...box, sent: true }));
        sent.forEach((box) => kept.set(box.field, box));
        return write(sent);
      },
    };
  };
})();
