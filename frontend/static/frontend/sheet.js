"use strict";
// The bench sheet: keeps what is typed, sends it when it is pressed, and says at
// any time where it is. Without this the sheet is a form that is sent once.
(() => {
  const { boxes, keeper, leaving, outbox, phones, problems, receipt, site } = window.bench;

  // The scale follows the station until somebody chooses one.
  function followStation(form) {
    let chosen = false;
    form.addEventListener("input", (event) => {
      if (event.detail?.kept) return;
      if (event.target.name === "scale") chosen = true;
      if (event.target.name !== "station" || chosen) return;
      const scale = event.target.selectedOptions[0]?.dataset.scale;
      const button = scale && form.querySelector(`[name=scale][value=${scale}]`);
      if (!button || button.checked) return;
      button.checked = true;
      button.dispatchEvent(new Event("input", { bubbles: true }));
      chosen = false;
    });
  }

  // Signing out needs a network; the worker leads back here without one.
  function sayStillSignedIn() {
    if (window.location.hash !== "#still-signed-in") return;
    history.replaceState(null, "", window.location.pathname);
    const note = document.createElement("p");
    note.className = "notice";
    note.dataset.still = "";
    note.setAttribute("role", "status");
    note.textContent = tell("No network: you are still signed in. Sign out again when there is one.");
    document.querySelector("main").prepend(note);
  }

  // The page is held for when there is no network.
  function hold(form) {
    navigator.serviceWorker?.register(form.dataset.worker, { scope: "/" }).catch(() => {});
    navigator.storage?.persist?.();
  }

  function signInAgain(form, onSignedIn) {
    const asked = document.querySelector("[data-sign-in-again]");
    const code = asked.querySelector("input");
    const said = asked.querySelector("[data-sign-in-problem]");
    asked.addEventListener("submit", async (event) => {
      event.preventDefault();
      const body = new FormData(asked);
      body.delete("csrfmiddlewaretoken");
      try {
        const { status, content } = await site.ask(asked.action, { method: "POST", body });
        said.textContent = status === 200 ? "" : (content.sentence ?? "");
        if (status !== 200) return code.focus();
        if (content.group !== form.dataset.draft) {
          // However slow the network is, it is not the other group's sheet that is shown.
          await window.caches?.delete("bench-sheet");
          return window.location.reload();
        }
        asked.hidden = true;
        code.value = "";
        onSignedIn();
      } catch {
        said.textContent = tell("No answer from the network. Your readings are kept; try again in a moment.");
      }
      return undefined;
    });
    return (isPressed) => {
      const was = asked.hidden;
      asked.hidden = false;
      if (isPressed && was) code.focus();
    };
  }

  async function begin(form) {
    const group = form.dataset.draft;
    const touched = new Set();
    form.addEventListener("input", (event) => {
      const field = !event.detail?.kept && boxes.nameOf(form, event.target);
      if (!field) return;
      touched.add(field);
      leaving.hold(boxes.fresh(group, field, boxes.valueOf(form, event.target)));
    });
    let pressed = false;
    let last = "";
    const askToSignIn = signInAgain(form, async () => {
      last = "";
      await sheet.meet();
      await post.flush();
      if (!(await post.waiting()).length) keptHere();
    });

    async function keptHere(sentence) {
      const waiting = await post.waiting();
      const at_ms = waiting.at(-1)?.pressed_ms ?? Math.max(0, ...sheet.unsent().map((box) => box.stamp_ms));
      const when = last in sentences ? tell("sign in again") : at_ms || null;
      if (waiting.length || sheet.unsent().length) receipt.onThisPhone(when, sentence);
    }

    const isNewer = (revision) => revision >= Number(form.dataset.revision);

    // The other phone sent a sheet meanwhile: this one is the next revision.
    function follow({ revision }) {
      if (!isNewer(revision)) return;
      form.dataset.revision = revision + 1;
      form.querySelector("button.send").textContent = tell("Send revision {revision}", { revision: revision + 1 });
    }

    const saySent = (revision, at_ms) => receipt.sent(at_ms, tell("Revision {revision} is sent.", { revision }));

    const sentences = {
      "signed-out": tell("Sign in again with your slip code to send. Your readings are kept on this phone."),
      "other-group": tell("Another group is signed in on this phone. Sign in with your own slip to send; your readings are kept."),
    };

    const notMet = ({ isAway }) =>
      isAway ? tell("The site can take nothing just now. Kept on this phone; not sent yet.") : tell("No network. Kept on this phone; not sent yet.");

    function notSent({ wait_s, isAway }) {
      if (!wait_s) {
        return isAway
          ? tell("The site can take nothing just now: not sent. Kept on this phone. It is sent by itself as soon as the site takes it.")
          : tell("No network: not sent. Kept on this phone. It is sent by itself as soon as there is one.");
      }
      return isAway
        ? tell("The site can take nothing just now: not sent. Kept on this phone. Trying again by itself, now every {seconds} seconds.", { seconds: wait_s })
        : tell("No network: not sent. Kept on this phone. Trying again by itself, now every {seconds} seconds.", { seconds: wait_s });
    }

    async function onStatus(status, about) {
      if (!["silent", "kept", "sending"].includes(status)) document.querySelector("[data-still]")?.remove();
      if (status === "met") follow(about);
      if (status === "kept" || status === "met") {
        // What was said of the network stays true until it answers.
        if (status === "kept" && last in { silent: 1, ...sentences }) return keptHere();
        last = status;
        if ((await post.waiting()).length) return undefined;
        if (status === "kept") return keptHere(tell("Kept on this phone; not sent yet."));
        const n = sheet.unsent().length;
        if (!n) return about.revision ? saySent(about.revision, about.received_ms) : undefined;
        return keptHere(n === 1 ? tell("One box not sent yet; kept here and for your other phone.") : tell("{n} boxes not sent yet; kept here and for your other phone.", { n }));
      }
      // Trying again without a network is no news, and is not read out each time.
      if (status === "sending" && last === "silent") return undefined;
      last = status;
      if (status in sentences) {
        askToSignIn(pressed);
        return keptHere(sentences[status]);
      }
      if (status === "sending") return receipt.sending(tell("Sending; you can put the phone down."));
      if (status === "silent") return keptHere((await post.waiting()).length ? notSent(about) : notMet(about));
      if (status === "refused") {
        pressed = false;
        problems.show(form, about.item, about);
        return keptHere(tell("Not sent: something needs mending. Nothing you typed is lost."));
      }
      return received(about);
    }

    async function received({ item, revision, url }) {
      await sheet.received(item.pressed_ms);
      problems.clear(form);
      saySent(revision, Date.now());
      follow({ revision });
      // Whoever has gone on typing is not taken away from it.
      if (!sheet.unsent().length && !(await post.waiting()).length) window.location.assign(url);
    }

    const sheet = await phones(form, { onStatus: (...all) => ready.then(() => onStatus(...all)) });
    // What was typed, or chosen by a sticker, before anything could be kept.
    touched.forEach(sheet.keep);
    const post = outbox(group, { phone: sheet.phone, before: sheet.meetWithAll, inTurn: sheet.inTurn, onStatus });
    let begun;
    const ready = new Promise((resolve) => (begun = resolve));

    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      pressed = true;
      const body = [...new FormData(form)].filter(([name]) => !["csrfmiddlewaretoken", "key"].includes(name));
      receipt.sending(tell("Keeping the sheet on this phone, then sending it."));
      const pressed_ms = sheet.press();
      await sheet.settled();
      await post.post(form.action, body, pressed_ms);
    });

    const restored = sheet.restore(touched);
    await keeper.setNote(`about:${group}`, { group: form.dataset.group, section: form.dataset.section });
    begun();
    const isKept = await keeper.isKept();
    if (!isKept) receipt.onThisPhone(null, tell("This browser keeps nothing: leave this page open until it is sent."));
    else if ((await post.waiting()).length) keptHere(tell("A sheet waits here to be sent."));
    else if (sheet.unsent().length) keptHere(restored ? tell("Restored from this phone; not sent yet.") : tell("Kept on this phone; not sent yet."));
    sheet.poll();
    post.flush();
  }

  const form = document.querySelector("[data-sheet]");
  if (!form) return;
  document.querySelector("[data-problems]")?.focus();
  sayStillSignedIn();
  followStation(form);
  window.bench.showLine(form);
  begin(form).then(() => performance.mark("bench-kept"));
  window.addEventListener("load", () => hold(form));
  performance.mark("bench-ready");
})();
