// Small means to build a page and to ask the server. No text of a person or a file is ever read as HTML.

export const $ = (id) => document.getElementById(id);

// h makes an element: h("p", { class: "soft" }, "text", child, …).
export function h(tag, props, ...children) {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(props || {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) e.addEventListener(name.slice(2), value);
    else e.setAttribute(name, value === true ? "" : value);
  }
  e.append(...children.flat().filter((c) => c !== null && c !== undefined && c !== false));
  return e;
}

// say tells a screen reader what has happened.
export function say(words) {
  $("said").textContent = "";
  requestAnimationFrame(() => { $("said").textContent = words; });
}

export function sentence(words) {
  const s = words.trim();
  return s === "" ? s : s[0].toUpperCase() + s.slice(1) + (/[.?!…]$/.test(s) ? "" : ".");
}

export const minutes = (m) => `${Math.round(m * 10) / 10} min`;

// Away means that no answer came: what was sent may or may not have arrived.
export class Away extends Error {}

export class No extends Error {
  constructor(status, words) {
    super(words);
    this.status = status;
  }
}

async function ask(url, options) {
  let answer;
  try {
    answer = await fetch(url, { ...options, signal: AbortSignal.timeout(15000) });
  } catch {
    throw new Away("no connection to the trainer's machine");
  }
  if (answer.ok) return answer;
  let words = `the server answered ${answer.status}`;
  try {
    words = (await answer.json()).error || words;
  } catch { /* no words of ours */ }
  throw new No(answer.status, words);
}

export const get = async (url) => (await ask(url)).json();
export const text = async (url) => (await ask(url)).text();
export const post = async (url, value) =>
  (await ask(url, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(value) })).json();

// listen hears events; a page in the background hears none and starts afresh when it is looked at again. link is told
// whether the connection stands.
export function listen(url, heard, link) {
  let stream = null;
  let again = 0;
  const start = () => {
    clearTimeout(again);
    if (stream || document.hidden) return;
    stream = new EventSource(url);
    for (const name of ["afresh", "changed"]) stream.addEventListener(name, heard);
    stream.onopen = () => link(true);
    stream.onerror = () => {
      link(false);
      if (stream && stream.readyState === EventSource.CLOSED) {
        stop();
        again = setTimeout(start, 2000);
      }
    };
  };
  const stop = () => {
    if (stream) stream.close();
    stream = null;
  };
  document.addEventListener("visibilitychange", () => (document.hidden ? stop() : start()));
  addEventListener("online", () => { stop(); start(); });
  addEventListener("offline", () => link(false));
  addEventListener("pagehide", stop);
  start();
  return { again() { stop(); start(); } };
}

// once lets a thing be asked for often and done seldom: at once, and then at most every so many milliseconds. What is
// asked for while it runs is done once more behind it.
export function once(every, f) {
  let busy = false;
  let more = false;
  return async function run() {
    if (busy) {
      more = true;
      return;
    }
    busy = true;
    try {
      await f();
    } finally {
      setTimeout(() => {
        busy = false;
        if (more) {
          more = false;
          run();
        }
      }, every);
    }
  };
}

// A code that was scanned again while the page was in goes out of the address bar.
if (new URLSearchParams(location.hash.slice(1)).has("in")) history.replaceState(null, "", location.pathname + location.search);
