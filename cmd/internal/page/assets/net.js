// Asking the server, and hearing from it.

// Away means that no answer came: the reading, or whatever it was, may or may not have arrived.
export class Away extends Error {}

// No is an answer that is no success; its fields are those of the server's refusal.
export class No extends Error {
  constructor(status, answer) {
    super(answer.error || `the server answered ${status}`);
    this.status = status;
    this.doubt = answer.doubt === true;
    this.broken = answer.broken === true;
    this.changed = answer.changed || [];
  }
}

const listeners = new Set();
let here = true;

// link tells whether the last question was answered.
export const link = {
  get here() { return here; },
  set(now) {
    if (now === here) return;
    here = now;
    for (const f of listeners) f(here);
  },
  onchange(f) { listeners.add(f); },
};

// patience is how long an answer may take; a ranking of a large harness takes seconds on a slow machine.
const patience = 25000;

async function ask(url, options) {
  let answer;
  try {
    answer = await fetch(url, { ...options, signal: AbortSignal.timeout(patience) });
  } catch {
    link.set(false);
    throw new Away("no connection");
  }
  link.set(true);
  if (answer.ok) return answer;
  let body = {};
  try {
    body = await answer.json();
  } catch { /* an answer in no form of ours */ }
  throw new No(answer.status, body);
}

export const get = async (url) => (await ask(url)).json();
export const text = async (url) => (await ask(url)).text();

export async function post(url, value, seen) {
  const headers = { "Content-Type": "application/json" };
  if (seen) headers["If-Match"] = `"${seen}"`;
  return (await ask(url, { method: "POST", headers, body: JSON.stringify(value) })).json();
}

export async function send(url, body) {
  return (await ask(url, { method: "POST", headers: { "Content-Type": "text/csv" }, body })).json();
}

// listen hears the events of a job, or of the folder. A page in the background hears nothing, for a browser opens six
// connections in all; it starts afresh when it is looked at again. again() hears anew, as somebody else.
export function listen(url, on) {
  let stream = null;
  let again = 0;
  const start = () => {
    clearTimeout(again);
    if (stream || document.hidden) return;
    stream = new EventSource(url);
    for (const [name, f] of Object.entries(on)) stream.addEventListener(name, (event) => f(JSON.parse(event.data)));
    stream.onopen = () => link.set(true);
    stream.onerror = () => {
      link.set(false);
      if (stream && stream.readyState === EventSource.CLOSED) {
        stop();
        again = setTimeout(start, 2000);
        on.afresh({}); // says why: whoever has no pass any more must come in anew
      }
    };
  };
  const stop = () => {
    if (stream) stream.close();
    stream = null;
  };
  document.addEventListener("visibilitychange", () => (document.hidden ? stop() : start()));
  addEventListener("online", () => { stop(); start(); });
  addEventListener("offline", () => link.set(false));
  addEventListener("pagehide", stop);
  start();
  return { again() { stop(); start(); } };
}
