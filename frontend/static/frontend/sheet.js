"use strict";
// Keeps what is typed on this phone until it is received, and sends it again
// whenever there is a network.
(() => {
  const WAITS_S = [2, 4, 8, 15];
  const PREFIX = "benchwide-draft:";

  function say(shape, word, sentence = "") {
    const corner = document.querySelector("[data-corner]");
    corner.querySelector(".shape").className = `shape shape-${shape}`;
    corner.querySelector("[data-corner-word]").textContent = word;
    document.querySelector("[data-sending-words]").textContent = sentence;
  }

  const place = (form) => `${PREFIX}${form.dataset.draft}:${form.dataset.revision}`;
  const kept = (element) => element.name && !["csrfmiddlewaretoken", "key"].includes(element.name) && !/^(tube|replicate)-/.test(element.name);

  // A private window may refuse storage; the page then works without it.
  function store(action) {
    try {
      return action(window.localStorage);
    } catch {
      return null;
    }
  }

  function keep(form) {
    const draft = {};
    for (const element of form.elements) {
      if (!kept(element)) continue;
      if (element.type === "checkbox" || element.type === "radio") draft[`${element.name}=${element.value}`] = element.checked;
      else draft[element.name] = element.value;
    }
    store((storage) => storage.setItem(place(form), JSON.stringify(draft)));
    say("phone", "on this phone");
  }

  function restore(form) {
    const draft = JSON.parse(store((storage) => storage.getItem(place(form))) ?? "null");
    if (!draft) return false;
    for (const element of form.elements) {
      if (!kept(element)) continue;
      if (element.type === "checkbox" || element.type === "radio") element.checked = draft[`${element.name}=${element.value}`] ?? element.checked;
      else element.value = draft[element.name] ?? element.value;
    }
    return true;
  }

  // Whatever was received is no draft any more, nor is an older revision's.
  function forget(form, upTo) {
    store((storage) => {
      for (const key of Object.keys(storage)) {
        const [draft, revision] = [key.slice(0, key.lastIndexOf(":")), Number(key.slice(key.lastIndexOf(":") + 1))];
        if (draft === `${PREFIX}${form.dataset.draft}` && revision <= upTo) storage.removeItem(key);
      }
    });
  }

  function showRefusal(html) {
    const page = new DOMParser().parseFromString(html, "text/html");
    document.title = page.title;
    document.querySelector("main").replaceWith(page.querySelector("main"));
    begin();
  }

  async function attempt(form) {
    const answer = await fetch(form.action, {
      method: "POST",
      body: new FormData(form),
      headers: { Accept: "application/json" },
      credentials: "same-origin",
    });
    if (answer.status === 201) {
      const { revision, url } = await answer.json();
      forget(form, revision);
      say("received", "received");
      window.location.assign(url);
    } else if (answer.status === 422) {
      showRefusal(await answer.text());
    } else if (answer.redirected) {
      say("phone", "on this phone", "Sign in again; your readings are kept on this phone.");
    } else if (answer.status === 403) {
      say("phone", "on this phone", "This page was open too long. Load it again: your readings are kept, then send.");
    } else {
      throw new Error(`status ${answer.status}`);
    }
  }

  function sender(form) {
    let tries = 0;
    let timer = null;
    let busy = false;
    async function send() {
      if (busy || !form.isConnected) return;
      clearTimeout(timer);
      timer = null;
      busy = true;
      say("sending", "sending", "Sending; you can put the phone down.");
      try {
        await attempt(form);
        tries = 0;
      } catch {
        const wait = WAITS_S[Math.min(tries, WAITS_S.length - 1)];
        tries += 1;
        say("phone", "on this phone", `Not sent: no answer from the network. Kept on this phone; trying again every ${wait} seconds.`);
        timer = setTimeout(send, wait * 1000);
      } finally {
        busy = false;
      }
    }
    window.addEventListener("online", () => timer && send());
    return send;
  }

  // The scale follows the station until somebody chooses one.
  function followStation(form) {
    let chosen = false;
    form.addEventListener("change", (event) => {
      if (event.target.name === "scale") chosen = true;
      if (event.target.name !== "station" || chosen) return;
      const scale = event.target.selectedOptions[0]?.dataset.scale;
      const button = scale && form.querySelector(`[name=scale][value=${scale}]`);
      if (button) button.checked = true;
    });
  }

  function begin() {
    const form = document.querySelector("[data-sheet]");
    if (!form) return;
    const refused = "refused" in form.dataset;
    forget(form, Number(form.dataset.revision) - 1);
    if (refused) {
      keep(form);
      document.querySelector("[data-problems]").focus();
    } else if (restore(form)) {
      say("phone", "on this phone", "Restored from this phone; not sent yet.");
    }
    followStation(form);
    window.bench.showLine(form);
    form.addEventListener("input", () => keep(form));
    const send = sender(form);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      keep(form);
      send();
    });
  }

  begin();
})();
