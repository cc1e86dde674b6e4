// The readings of the job, those on their way, what was seen, and taking back.
import { $, fill, h, newID, open, sentence } from "./dom.js";
import { Away, No, post } from "./net.js";
import { queue } from "./queue.js";
import { about, store, tell } from "./store.js";
import { toast } from "./toast.js";
import * as machine from "./machine.js";

function item(r) {
  const planned = r.read === "";
  return h("li", { class: "reading" + (r.unexplained || r.refused ? " odd" : "") },
    h("div", {},
      h("span", { class: "number" }, String(r.index + 1)), " ",
      h("strong", { class: "value" }, planned ? "not read yet" : r.read), " ",
      h("span", { class: "where" }, r.where), r.units ? h("span", { class: "soft" }, ` (${r.units})`) : null,
      r.when ? h("span", { class: "soft block" }, r.when) : null,
      r.note ? h("span", { class: "soft block" }, "“", r.note, "”") : null,
      r.refused ? h("span", { class: "flag" }, "Not counted: ohms on a live circuit. Take it again with the key off and the part apart.") : null,
      r.unexplained ? h("span", { class: "flag" }, "Nothing likely explains it. Take it again.") : null,
      !r.unexplained && !r.refused && r.misread ? h("span", { class: "flag" }, `May be a misreading (${r.misread}). Take it again if it matters.`) : null),
    h("div", { class: "row tight" },
      planned || r.unexplained || r.refused ? h("button", { "aria-label": `${planned ? "Take it" : "Again"}: reading ${r.index + 1}, ${r.where}`, onclick: () => repeat(r) }, planned ? "Take it" : "Again") : null,
      h("button", { "aria-label": `Change reading ${r.index + 1}, ${r.where}`, onclick: () => change(r) }, "Change")));
}

// repeat opens the sheet for a reading as it was described. One that was planned keeps its place in the file.
function repeat(r) {
  machine.set(r.state);
  tell("measure", { at: r.at, to: r.to, quantity: r.quantity, planned: r.read === "" ? r.index : null });
}

function waiting(e) {
  return h("li", { class: "reading " + (e.held ? "odd" : "soft") },
    h("div", {}, h("strong", { class: "value" }, e.shown.value), " ", h("span", { class: "where" }, e.shown.where),
      h("span", { class: "flag" }, e.held ? "Not written: " + sentence(e.held) : "Kept on this device, not sent yet.")),
    h("div", { class: "row tight" },
      e.doubt ? h("button", { onclick: () => queue.confirm(e.id) }, "It is so") : null,
      h("button", { "aria-label": `Drop ${e.shown.where}`, onclick: () => queue.drop(e.id) }, "Drop")));
}

let shown = ""; // what stands there: it is not built anew under a finger for nothing
export function show() {
  const j = store.job;
  const entries = queue.of(store.file);
  const now = JSON.stringify([j.readings, j.inspections, entries]);
  if (now === shown) return;
  shown = now;
  fill($("readings"), j.readings.length ? j.readings.map(item) : h("li", {}, entries.length ? "" : "None yet."));
  fill($("queued"), entries.map(waiting));
  $("queued").hidden = entries.length === 0;
  $("seen-title").hidden = j.inspections.length === 0;
  fill($("inspections"), j.inspections.map((s) => h("li", { class: "line" }, h("span", {}, h("strong", {}, s.at), ` ${s.seen}`, s.place && s.place !== s.at ? h("span", { class: "soft" }, ` (${s.place})`) : null),
    h("button", { "aria-label": `Take out: ${s.at} ${s.seen}`, onclick: () => remove("inspection", s.index, `${s.at} ${s.seen}`) }, "Take out"))));
  $("undo").disabled = !j.readings.some((r) => r.read) && entries.length === 0;
}

// conflict shows that the file is not what this page saw, and what it is now.
function conflict(error) {
  $("conflict-words").textContent = sentence(error.message);
  fill($("conflict-lines"), error.changed.join("\n") || "(what it was before is not known any more)");
  open($("conflict"));
  tell("again");
}

// settle says how a change went wrong; where goes what is said of it.
function settle(error, where) {
  if (error instanceof No && error.status === 409 && !error.broken) conflict(error);
  else where(error instanceof Away ? "No connection, so nothing was changed. Only new readings are kept for later." : sentence(error.message));
}

async function remove(kind, index, what) {
  try {
    const answer = await post(about("remove"), { name: kind, index }, store.job.version);
    tell("job", { job: answer.job, own: "Taken out." });
    toast(`Taken out: ${what}`, "Put back", () => restore(answer.undo));
  } catch (error) {
    settle(error, toast);
  }
}

async function restore(undo) {
  try {
    tell("job", { job: await post(about("restore"), { id: newID(), undo }), own: "Put back." });
  } catch (error) {
    settle(error, toast);
  }
}

// takeBack undoes the last reading: one that is still on its way, else the last one of the file.
export function takeBack() {
  const entries = queue.of(store.file);
  if (entries.length) {
    const last = entries[entries.length - 1];
    queue.drop(last.id);
    toast(`Taken back before it was sent: ${last.shown.value} ${last.shown.where}`, "Put back", () => queue.add(store.file, last.kind, last.body, last.shown));
    return;
  }
  const taken = store.job.readings.filter((r) => r.read);
  const last = taken[taken.length - 1];
  if (last) remove("reading", last.index, `${last.read} ${last.where}`);
}

let changing = null; // the reading, and the version in which it stood there
let confirm = false;

function change(r) {
  changing = { reading: r, version: store.job.version };
  confirm = false;
  $("change-where").textContent = `${r.index + 1}: ${r.where}${r.when ? ", " + r.when : ""}${r.read ? `; it showed ${r.read}` : ""}`;
  $("change-typed").value = "";
  $("change-typed").placeholder = r.read || "not read yet";
  $("change-note").value = r.note || "";
  changeWrong("");
  open($("changing"));
}

function changeWrong(words) {
  $("change-wrong").textContent = words;
  $("change-wrong").hidden = !words;
  $("change-do").textContent = confirm ? "It is so: write it" : "Write it down";
}

$("change-typed").addEventListener("input", () => { confirm = false; changeWrong(""); });
$("change-form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const { reading, version } = changing;
  try {
    const job = await post(about("change"), { index: reading.index, typed: $("change-typed").value.trim(), note: $("change-note").value, confirm }, version);
    $("changing").close();
    tell("job", { job, own: `Reading ${reading.index + 1} changed.` });
  } catch (error) {
    if (error instanceof No && error.doubt) {
      confirm = true;
      changeWrong(sentence(error.message));
      return;
    }
    confirm = false;
    if (error instanceof No && error.status === 409) $("changing").close();
    settle(error, changeWrong);
  }
});
$("change-remove").addEventListener("click", () => {
  $("changing").close();
  const { reading } = changing;
  if (changing.version !== store.job.version) {
    toast("The job has changed meanwhile. Look at its readings, then do it again.");
    return;
  }
  remove("reading", reading.index, `${reading.read || "not read yet"} ${reading.where}`);
});

$("look").addEventListener("click", () => {
  const c = store.circuit;
  if (!c) return;
  fill($("look-at"), h("option", { value: "" }, "Choose…"), c.places.map((p) => h("option", { value: p.name }, p.words ? `${p.name}  ${p.words}` : p.name)));
  fill($("look-seen"), h("option", { value: "" }, "Choose…"), c.seen.map((s) => h("option", { value: s }, s)));
  $("look-wrong").hidden = true;
  open($("looking"));
});
$("look-form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const [at, seen] = [$("look-at").value, $("look-seen").value];
  const outcome = await queue.add(store.file, "inspections", { at, seen }, { value: seen, where: at });
  if (outcome.held) {
    queue.drop(outcome.id);
    $("look-wrong").textContent = sentence(outcome.held);
    $("look-wrong").hidden = false;
    return;
  }
  $("looking").close();
  if (outcome.job) tell("job", { job: outcome.job, own: `Noted: ${at} ${seen}.` });
});
