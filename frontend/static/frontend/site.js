"use strict";
// Talks to the site: what is refused has a name, and silence is an error.
(() => {
  const PATIENCE_MS = 20_000;
  let token = "";

  const csrf = () => /(?:^|;\s*)csrftoken=([^;]+)/.exec(document.cookie)?.[1] ?? token;

  async function ask(url, { method = "GET", body, type } = {}) {
    const headers = { Accept: "application/json" };
    if (method === "POST") headers["X-CSRFToken"] = csrf();
    if (type) headers["Content-Type"] = type;
    const answer = await fetch(url, { method, body, headers, credentials: "same-origin", signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.status >= 500) throw Object.assign(new Error(`status ${answer.status}`), { isAway: true });
    const isJson = answer.headers.get("Content-Type")?.startsWith("application/json");
    const content = isJson ? await answer.json() : {};
    if (content.csrf) token = content.csrf;
    return { status: answer.status, content };
  }

  window.bench.site = {
    ask,
    askJson: (url, content) => ask(url, { method: "POST", body: JSON.stringify(content), type: "application/json" }),
  };
})();
