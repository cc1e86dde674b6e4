// The sheet on which a reading is entered.
import { $, fill, h, open, say, sentence } from "./dom.js";
import { Away, No, post, send } from "./net.js";
import { queue } from "./queue.js";
import { about, on, store, tell } from "./store.js";
import { toast } from "./toast.js";
import { choosePoints, pointAt } from "./points.js";
import * as machine from "./machine.js";

const quantities = [["volts", "Volts"], ["ohms", "Ohms"], ["amps", "Amps"], ["scan_volts", "Scan tool"]];
const units = { volts: ["V", "mV"], scan_volts: ["V", "mV"], ohms: ["Ω", "kΩ", "MΩ"], amps: ["A", "mA"] };
const keys = ["7", "8", "9", "⌫", "4", "5", "6", "OL", "1", "2", "3", "−", "0", ".", "space", "clear"];
const unitWords = / (mV|V|kΩ|MΩ|Ω|mA|A)(?= |$)/g;
const keyNames = { "⌫": "Delete the last digit", "−": "Minus", ".": "Point", space: "2nd value of a reading that moved", clear: "Clear" };
const keyFaces = { space: "2nd", clear: "C" };

let planned = null; // index of a planned reading of the file that gets its value, and the version it was seen in
let doubted = ""; // the id of an entry of the queue that was doubted
let confirmPlanned = false;

const typed = $("typed");
const picked = (name) => (document.querySelector(`input[name=${name}]:checked`) || {}).value;

function segments(id, name, list, onchange) {
  const legend = $(id).querySelector("legend");
  fill($(id), legend, list.map(([value, label], i) => h("label", {}, h("input", { type: "radio", name, value, checked: i === 0, onchange }), h("span", {}, label))));
}

function pick(name, value) {
  for (const r of document.querySelectorAll(`input[name=${name}]`)) r.checked = r.value === value;
}

function wrong(words) {
  $("sheet-wrong").textContent = words;
  $("sheet-wrong").hidden = !words;
  $("write").textContent = doubted || confirmPlanned ? "It is so: write it" : "Write it down";
}

// forget drops what was doubted, when it is typed anew.
function forget() {
  if (doubted) queue.drop(doubted);
  doubted = "";
  confirmPlanned = false;
  wrong("");
}

// fit shows what belongs to the chosen quantity and point.
function fit() {
  const q = picked("quantity");
  const point = pointAt($("red").value);
  const meter = q === "volts" || q === "ohms";
  $("black").parentElement.hidden = !meter;
  $("through").parentElement.hidden = q !== "amps";
  fill($("through"), (point ? point.amps : []).map((a) => h("option", { value: a.name }, a.words ? `${a.name}  ${a.words}` : a.name)));
  if (!units[q].includes(picked("unit"))) segments("units", "unit", units[q].map((u) => [u, u]), fit);
  $("unit").textContent = /[a-zΩ]/i.test(typed.value) ? "" : picked("unit");
  document.querySelector("#quantities input[value=scan_volts]").parentElement.hidden = !point || (!point.scan && q !== "scan_volts");
  $("sheet-title").textContent = $("red").value || "Reading";
  $("sheet-where").textContent = point ? point.words : "";
  document.querySelector("label[for=red]").textContent = q === "scan_volts" ? "Pin" : q === "amps" ? "At" : "Red lead";
  $("pad").querySelector("[data-key=OL]").disabled = q !== "ohms";
  typed.classList.toggle("long", typed.value.length > 9);
}

// restate says the machine's state on the sheet.
function restate() {
  fill($("sheet-state"), h("strong", {}, "Machine: "), machine.words(machine.now()) + ". ", h("button", { type: "button", class: "inline", onclick: machine.change }, "Change"));
}

// refresh fits the sheet to a job that has changed under it.
export function refresh() {
  const j = store.job;
  $("symptoms").hidden = !j.intermittent;
  $("recording").hidden = !j.can.recording;
}

// know builds what depends on the circuit.
export function know() {
  const held = [$("red").value, $("black").value];
  fill($("red"), choosePoints());
  fill($("black"), choosePoints());
  [$("red").value, $("black").value] = held;
  fill($("wiggle"), h("option", { value: "" }, "nothing"), store.circuit.places.map((p) => h("option", { value: p.name }, p.words ? `${p.name}  ${p.words}` : p.name)));
}

// begin opens the sheet for a reading: {at, to, quantity, planned}; what is not given takes its usual value.
function begin(want) {
  if (!store.circuit || store.job.pyrotechnic) return;
  forget();
  planned = want.planned === undefined || want.planned === null ? null : { index: want.planned, version: store.job.version };
  const quantity = want.quantity || (picked("quantity") === "ohms" ? "ohms" : "volts");
  pick("quantity", quantity);
  const through = quantity === "amps" ? want.at : "";
  $("red").value = through ? redOf(through) : want.at;
  $("black").value = want.to || "B-";
  if ($("black").value === $("red").value) $("black").value = "B+";
  typed.value = "";
  fit();
  if (through) $("through").value = through;
  $("note").value = "";
  $("moved").checked = false;
  $("wiggle").value = "";
  $("recorded").textContent = "";
  $("more").open = false;
  pick("symptom", "");
  restate();
  open($("sheet"));
  $("sheet").scrollTop = 0;
  typed.focus({ preventScroll: true });
}

// redOf is a point at which an ammeter's place is found.
function redOf(through) {
  for (const part of store.circuit.parts) for (const p of part.points) if (p.amps.some((a) => a.name === through)) return p.at;
  return "";
}

function press(key) {
  forget();
  const v = typed.value;
  if (key === "⌫") typed.value = v.endsWith("OL") ? v.slice(0, -2) : v.slice(0, -1);
  else if (key === "clear") typed.value = "";
  else if (key === "OL") typed.value = v.endsWith(" ") || v === "" ? v + "OL" : "OL";
  else if (key === "−") typed.value = v.replace(/(−?)([^ ]*)$/, (_, minus, rest) => (minus ? "" : "−") + rest);
  else if (key === "space") {
    if (v && !v.includes(" ")) typed.value = v + " ";
    $("moved").checked = typed.value.includes(" ");
    if (typed.value.includes(" ")) $("more").open = true;
  } else typed.value = v + key;
  fit();
}

// value is what was typed, with the chosen unit at each number that has none.
function value() {
  const unit = picked("unit");
  return typed.value.trim().replace(/\s+/g, " ").split(" ").map((w, i, list) => (/^[-−+]?[\d.,]+$/.test(w) && !units[picked("quantity")].includes(list[i + 1]) ? w + " " + unit : w)).join(" ");
}

// body is the reading as it is sent.
function body() {
  const quantity = picked("quantity");
  const meter = quantity === "volts" || quantity === "ohms";
  const scan = quantity === "scan_volts";
  return {
    at: quantity === "amps" ? $("through").value : $("red").value, to: meter ? $("black").value : "", quantity, typed: value(),
    state: machine.now(), wiggle: $("wiggle").value, symptom: $("symptoms").hidden ? "" : picked("symptom") || "", note: $("note").value,
    confirm: false, ...(scan ? { to: "" } : {}),
  };
}

function shown(b) {
  const where = b.quantity === "scan_volts" ? "scan " + b.at : b.quantity === "amps" ? "amps through " + b.at : b.to && b.to !== "B-" ? `${b.at} to ${b.to}` : b.at;
  return { value: b.typed, where: `${where}, ${machine.words(b.state)}` };
}

$("entry").addEventListener("submit", async (event) => {
  event.preventDefault();
  const b = body();
  if (!b.at) return wrong("Choose where the red lead is.");
  if (!/\d|ol/i.test(b.typed)) return wrong("Type the value that the meter shows.");
  if ($("moved").checked && !b.typed.replace(unitWords, "").trim().includes(" ")) return wrong("It moved: type the lowest and the highest value with a space between (the key 2nd).");
  $("write").disabled = true;
  try {
    await (planned ? fillPlanned(b) : addNew(b));
  } finally {
    $("write").disabled = false;
  }
});

async function addNew(b) {
  const outcome = await (doubted ? queue.confirm(doubted) : queue.add(store.file, "readings", b, shown(b)));
  doubted = "";
  if (outcome.held && outcome.doubt) {
    doubted = outcome.id;
    wrong(sentence(outcome.held));
    return;
  }
  if (outcome.held) {
    queue.drop(outcome.id);
    wrong(sentence(outcome.held));
    return;
  }
  $("sheet").close();
  if (outcome.job) written(outcome.job, b);
  else say(`Kept on this device: ${b.typed} at ${b.at}. It is sent when there is a connection.${outcome.durable === false ? " This browser keeps nothing beyond this page: do not close it." : ""}`);
  if (outcome.waiting) toast(sentence(outcome.waiting));
}

// written shows what a reading has moved; on a phone that is somewhere else on the page.
function written(job, b) {
  tell("job", { job, own: `Written: ${b.typed} at ${b.at}.` });
  if (!matchMedia("(min-width: 60rem)").matches) $("verdict").scrollIntoView({ block: "start" });
}

// fillPlanned writes the value into a planned reading of the file. Away from the server it becomes a reading of its own.
async function fillPlanned(b) {
  try {
    const job = await post(about("change"), { index: planned.index, typed: b.typed, note: b.note, confirm: confirmPlanned }, planned.version);
    $("sheet").close();
    written(job, b);
  } catch (error) {
    if (error instanceof No && error.doubt) {
      confirmPlanned = true;
      wrong(sentence(error.message));
    } else if (error instanceof Away || (error instanceof No && error.status === 409)) {
      planned = null;
      await addNew(b);
    } else {
      wrong(sentence(error.message));
    }
  }
}

async function readRecording(file) {
  if (!file) return;
  $("recorded").textContent = "Reading it…";
  try {
    const got = await send(about("recording", { name: file.name, reading: JSON.stringify({ ...body(), id: "" }) }), file);
    typed.value = got.typed;
    $("moved").checked = got.typed.replace(unitWords, "").trim().includes(" ");
    $("recorded").textContent = [got.read, ...got.says].map(sentence).join(" ");
    fit();
  } catch (error) {
    $("recorded").textContent = error instanceof Away ? "No connection: a recording is read by the computer." : error.message + ".";
  }
}

segments("quantities", "quantity", quantities, () => { forget(); fit(); });
fill($("pad"), keys.map((k) => h("button", { type: "button", "data-key": k, "aria-label": keyNames[k] || k, onclick: () => press(k) }, keyFaces[k] || k)));
segments("units", "unit", units.volts.map((u) => [u, u]), fit);
$("red").addEventListener("change", () => { forget(); fit(); });
for (const id of ["black", "through", "wiggle"]) $(id).addEventListener("change", forget);
typed.addEventListener("input", () => { forget(); fit(); });
$("sheet").addEventListener("close", () => { doubted = ""; }); // what was doubted stays in the list, to be decided there
$("csv").addEventListener("change", () => readRecording($("csv").files[0]));
for (const name of ["dragover", "drop"]) {
  $("recording").addEventListener(name, (event) => {
    event.preventDefault();
    if (name === "drop") readRecording(event.dataTransfer.files[0]);
  });
}
on("measure", begin);
on("state", restate);
restate();
