// Readings on their way to the file. Each has an id of its own, stays in this browser until the server has said that it
// stands in the file, and is sent in the order in which it was typed; the server writes an id once.
import { kept, newID } from "./dom.js";
import { Away, No, link, post } from "./net.js";

const name = "ohmtrail-queue";
const changed = new Set();
const outcomes = new Map(); // id -> function that is told how it went
let sending = false;
let again = 0;

const all = () => kept.get(name, []);
function put(list) {
  const durable = kept.set(name, list);
  for (const f of changed) f();
  return durable;
}
const edit = (id, f) => put(all().flatMap((e) => (e.id === id ? f(e) : [e])));

export const queue = {
  onchange(f) { changed.add(f); },
  of(file) { return all().filter((e) => e.file === file); },
  waiting() { return all().filter((e) => !e.held).length; },

  // add takes a reading or an inspection and gives how the first try to send it went: {job}, {held, doubt} or {waiting}.
  add(file, kind, body, shown) {
    const id = newID();
    const entry = { id, file, kind, body: { ...body, id }, shown, held: "", doubt: false };
    const durable = put([...all(), entry]);
    return new Promise((done) => {
      outcomes.set(id, (outcome) => done({ id, durable, ...outcome }));
      flush();
    });
  },

  // confirm sends what was doubted all the same.
  confirm(id) {
    edit(id, (e) => [{ ...e, held: "", doubt: false, body: { ...e.body, confirm: true } }]);
    return new Promise((done) => {
      outcomes.set(id, (outcome) => done({ id, ...outcome }));
      flush();
    });
  },

  drop(id) {
    outcomes.delete(id);
    edit(id, () => []);
  },

  flush,
};

function tell(id, outcome) {
  const f = outcomes.get(id);
  outcomes.delete(id);
  if (f) f(outcome);
}

// flush sends what waits, of each job in order. Where a job's file or the disk is not fit now, the rest of that job waits,
// and other jobs go on; an answer that this reading is no good holds it back alone, for its user to decide.
async function flush() {
  if (sending) return;
  sending = true;
  clearTimeout(again);
  const stuck = new Map(); // file -> why
  try {
    for (;;) {
      const next = all().find((e) => !e.held && !stuck.has(e.file));
      if (!next) break;
      try {
        const job = await post(`/api/${next.kind}?file=${encodeURIComponent(next.file)}`, next.body);
        edit(next.id, () => []);
        tell(next.id, { job });
      } catch (error) {
        if (error instanceof Away) {
          for (const e of all()) tell(e.id, { waiting: "" });
          stuck.set("", "");
          break;
        }
        if (!(error instanceof No) || error.broken || error.status >= 500 || later.includes(error.status)) {
          stuck.set(next.file, error.message);
          for (const e of all()) if (e.file === next.file) tell(e.id, { waiting: error.message });
          continue;
        }
        edit(next.id, (e) => [{ ...e, held: error.message, doubt: error.doubt }]);
        tell(next.id, { held: error.message, doubt: error.doubt });
      }
    }
  } finally {
    sending = false;
  }
  if (stuck.size) again = setTimeout(flush, 3000);
  else if (all().some((e) => !e.held)) flush(); // added while the last one was on its way
}

// later are the answers that speak of now, not of the reading: come in first, no such file, too slow, too many.
const later = [401, 404, 408, 429];

link.onchange((here) => { if (here) flush(); });
addEventListener("online", flush);
// Another page of this browser has changed the queue.
addEventListener("storage", (event) => {
  if (event.key !== name) return;
  for (const f of changed) f();
});
