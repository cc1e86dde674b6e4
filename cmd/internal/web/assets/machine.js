// What the machine is put into now: key, plugs, jumpers, loads, settings. It stays until it is changed, goes with every
// reading, and is the same for all who are on the job.
import { $, fill, h, kept, open } from "./dom.js";
import { Away, post } from "./net.js";
import { about, store, tell as announce } from "./store.js";
import { choosePoints } from "./points.js";

const plainState = () => ({ key: "on", unplugged: [], jumper: [], load: [], set: {} });
const name = () => "ohmtrail-state:" + store.file;

let state = kept.get(name(), null) || plainState();
let mine = kept.get(name() + ":unsent", false); // the server has not heard of it yet
let heardLast = -1;

export const now = () => structuredClone(state);

const keyWords = { off: "Key off", on: "Key on", run: "Engine running" };

// words says a state in one line.
export function words(s) {
  return [keyWords[s.key], ...s.unplugged.map((u) => `${u} unplugged`), ...s.jumper.map((j) => `${j[0]} joined to ${j[1]}`),
    ...s.load.map((l) => `${l.ohms} Ω from ${l.from} to ${l.to}`), ...Object.entries(s.set).map(([d, v]) => setWords(d, v))].join(", ");
}

function setWords(device, value) {
  const d = store.circuit && store.circuit.sets.find((x) => x.name === device);
  if (d && d.two) return `${device} ${value ? "on" : "off"}`;
  return `${device} at ${value}${d && d.unit ? " " + d.unit : ""}`;
}

// heard takes the state as the server has it. What this page has set and could not send yet stays.
export function heard(said, stated) {
  if (mine) {
    tell();
    return;
  }
  if (stated === 0) { // nobody has said anything since the program was started
    if (heardLast === -1 && words(state) !== words(plainState())) tell();
    heardLast = 0;
  } else if (stated !== heardLast) {
    heardLast = stated;
    state = said;
    kept.set(name(), state);
  }
  show();
}

let telling = false;
async function tell() {
  if (telling) return;
  telling = true;
  try {
    let sent;
    do {
      sent = JSON.stringify(state);
      const answer = await post(about("state"), state);
      heardLast = answer.stated;
    } while (sent !== JSON.stringify(state));
    mine = false;
  } catch (error) {
    mine = error instanceof Away;
  } finally {
    telling = false;
    kept.set(name() + ":unsent", mine);
  }
}

// set puts the machine into a state.
export function set(to) {
  state = structuredClone(to);
  kept.set(name(), state);
  mine = true;
  kept.set(name() + ":unsent", true);
  show();
  tell();
}

function edit(f) {
  const to = now();
  f(to);
  set(to);
}

function chip(label, undo, what) {
  return h("span", { class: "chip" }, label, undo ? h("button", { "aria-label": what, onclick: () => edit(undo) }, "✕") : null);
}

export function show() {
  const s = state;
  const keys = ["off", "on", "run"];
  fill($("chips"),
    h("button", { class: "chip key", "aria-label": `${keyWords[s.key]}; change it`, onclick: () => edit((t) => { t.key = keys[(keys.indexOf(t.key) + 1) % 2]; }) }, keyWords[s.key]),
    s.unplugged.map((u) => chip(`${u} unplugged`, (t) => { t.unplugged = t.unplugged.filter((x) => x !== u); }, `${u} is plugged in again`)),
    s.jumper.map((j, i) => chip(`${j[0]} joined to ${j[1]}`, (t) => { t.jumper.splice(i, 1); }, `take the jumper from ${j[0]} to ${j[1]} away`)),
    s.load.map((l, i) => chip(`${l.ohms} Ω from ${l.from} to ${l.to}`, (t) => { t.load.splice(i, 1); }, `take the load from ${l.from} to ${l.to} away`)),
    Object.entries(s.set).map(([d, v]) => chip(setWords(d, v), (t) => { delete t.set[d]; }, `the setting of ${d} is not known`)),
    s.unplugged.length + s.jumper.length + s.load.length === 0 ? h("span", { class: "chip quiet" }, "all plugged") : null);
  if ($("stating").open) showPanel();
  announce("state");
}

function showPanel() {
  const s = state;
  for (const r of document.querySelectorAll("input[name=key]")) r.checked = r.value === s.key;
  for (const box of $("plugs").querySelectorAll("input")) box.checked = s.unplugged.includes(box.value);
  const line = (text, undo, what) => h("li", { class: "line" }, text, h("button", { type: "button", "aria-label": what, onclick: () => edit(undo) }, "Remove"));
  fill($("jumpers"), s.jumper.map((j, i) => line(`${j[0]} to ${j[1]}`, (t) => { t.jumper.splice(i, 1); }, `Remove the jumper from ${j[0]} to ${j[1]}`)));
  fill($("loads"), s.load.map((l, i) => line(`${l.ohms} Ω from ${l.from} to ${l.to}`, (t) => { t.load.splice(i, 1); }, `Remove the load from ${l.from} to ${l.to}`)));
  for (const field of $("sets").querySelectorAll("[data-device]")) {
    const v = s.set[field.dataset.device];
    if (document.activeElement !== field) field.value = v === undefined ? "" : String(v);
  }
}

// know builds the panel for a circuit.
export function know() {
  const c = store.circuit;
  fill($("plugs"), c.plugs.map((p) => h("label", { class: "toggle" },
    h("input", { type: "checkbox", value: p.name, onchange: (e) => edit((t) => {
      t.unplugged = t.unplugged.filter((x) => x !== p.name);
      if (e.target.checked) t.unplugged.push(p.name);
    }) }), h("span", {}, p.name, p.words ? h("small", {}, p.words) : null))));
  fill($("sets"), c.sets.map((d) => h("label", { class: "field" }, `${d.name}${d.words ? ` (${d.words})` : ""}, ${d.low} to ${d.high}${d.unit ? " " + d.unit : ""}`,
    d.two
      ? h("select", { "data-device": d.name, onchange: (e) => setOne(d, e.target.value) }, [["", "not known"], ["1", "on, closed"], ["0", "off, open"]].map(([v, t]) => h("option", { value: v }, t)))
      : h("input", { "data-device": d.name, inputmode: "decimal", placeholder: "not known", autocomplete: "off", onchange: (e) => setOne(d, e.target.value) }))));
  $("setting").hidden = c.sets.length === 0;
  show();
}

function setOne(d, typed) {
  const text = typed.trim().replace(",", ".");
  const value = Number(text);
  wrong(text !== "" && !Number.isFinite(value) ? `${d.name}: type a number` : "");
  edit((t) => {
    if (text === "" || !Number.isFinite(value)) delete t.set[d.name];
    else t.set[d.name] = value;
  });
}

function wrong(words) {
  $("state-wrong").textContent = words;
  $("state-wrong").hidden = !words;
}

const ends = ["jumper-from", "jumper-to", "load-from", "load-to"];

export function change() {
  wrong("");
  if (store.circuit) for (const id of ends) fill($(id), choosePoints());
  $("load-to").value = "B-";
  open($("stating"));
  showPanel();
}

$("stating").addEventListener("close", () => { for (const id of ends) fill($(id)); }); // hundreds of choices that nobody sees
$("restate").addEventListener("click", change);
for (const r of document.querySelectorAll("input[name=key]")) r.addEventListener("change", () => edit((t) => { t.key = r.value; }));
$("jumper-add").addEventListener("click", () => {
  const [from, to] = [$("jumper-from").value, $("jumper-to").value];
  if (!from || !to || from === to) {
    wrong("A jumper has two ends: choose two points.");
    return;
  }
  wrong("");
  edit((t) => { t.jumper.push([from, to]); });
});
$("load-add").addEventListener("click", () => {
  const [from, to] = [$("load-from").value, $("load-to").value];
  const ohms = Number($("load-ohms").value.trim().replace(",", "."));
  if (!from || !to || from === to || !(ohms > 0)) {
    wrong("A load has two ends and its ohms: choose two points and type a number.");
    return;
  }
  wrong("");
  edit((t) => { t.load.push({ from, to, ohms }); });
});
$("plain").addEventListener("click", () => {
  wrong("");
  set(plainState());
});
