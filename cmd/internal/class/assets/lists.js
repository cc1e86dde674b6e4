// The lists of a form: points, places and faults of the circuit.
import { $, h } from "./dom.js";

const option = (value, words) => h("option", { value }, words);
const named = (n) => option(n.name, n.words && n.words !== n.name ? `${n.name} · ${n.words}` : n.name);

// choose fills a list and keeps what was chosen where it still stands.
function choose(id, none, children) {
  const list = $(id);
  const before = list.value;
  list.replaceChildren(...(none === null ? [] : [option("", none)]), ...children);
  if ([...list.options].some((o) => o.value === before)) list.value = before;
}

// points lists points by the part that they belong to.
function points(circuit, wanted) {
  return circuit.parts.map((p) => {
    const list = p.points.filter(wanted).map((q) => option(q.at, `${q.at} · ${q.words}${q.apart ? " (unplugged only)" : ""}`));
    return list.length ? h("optgroup", { label: p.label ? `${p.name}, ${p.label}` : p.name }, list) : null;
  }).filter(Boolean);
}

// amps are the places that an ammeter can stand in for, each once.
function amps(circuit) {
  const all = circuit.parts.flatMap((p) => p.points).flatMap((q) => q.amps);
  return [...new Map(all.map((a) => [a.name, a])).values()];
}

const kinds = {
  "open": "open circuit", "high-resistance": "too much resistance", "short-to-ground": "short to ground", "short-to-voltage": "short to B+",
  "short-between": "short between two wires or contacts", "swapped": "two ways changed over", "device": "a part, inside", "module": "a module, behind a pin",
};

// fill puts a circuit's points, places and faults into the form's lists.
export function fill(circuit) {
  const all = () => true;
  choose("red", "choose…", points(circuit, all));
  choose("black", null, points(circuit, all));
  $("black").value = "B-";
  for (const id of ["jumpa", "jumpb", "loada", "loadb"]) choose(id, "nothing", points(circuit, all));
  choose("pin", "choose…", points(circuit, (p) => p.scan));
  choose("through", "choose…", amps(circuit).map(named));
  choose("wiggle", "nothing", circuit.looks.map(named));
  choose("lookat", "choose…", circuit.looks.map(named));
  choose("repairat", "choose…", circuit.fixes.map(named));
  $("plugs").replaceChildren(...circuit.plugs.map((p) => h("label", {}, h("input", { type: "checkbox", name: "plug", value: p.name }), p.words ? `${p.name} · ${p.words}` : p.name)));
  $("sets").replaceChildren(...circuit.sets.map(setting));
  for (const [kind, fault] of [["kind", "fault"], ["kind2", "fault2"]]) {
    choose(kind, kind === "kind" ? "choose…" : "nothing", circuit.finds.map((f) => option(f.kind, kinds[f.kind] || f.kind)));
    const show = () => {
      const found = circuit.finds.find((f) => f.kind === $(kind).value);
      choose(fault, "choose…", found ? found.faults.map((f) => option(f.name, place(f))) : []);
    };
    $(kind).onchange = show;
    show();
  }
}

// place is a fault's place without the words of its kind, which stand in the list above.
function place(f) {
  const at = f.name.replace(/^(open|high-resistance|short-to-ground|short-to-voltage|short-between|swapped|device|module) /, "");
  return at.includes(": ") || at.includes(" ") && f.words === "" ? at : `${at} · ${f.words}`;
}

// setting is the entry of a part that can be moved or switched.
function setting(s) {
  const id = "set-" + s.name;
  const label = h("label", { for: id }, s.two ? `${s.words || s.name}: switched` : `${s.words || s.name}: set from ${s.low} to ${s.high}`);
  if (s.two) return h("div", {}, label, h("select", { id, "data-set": s.name }, option("", "as it stands"), option("0", "open, off"), option("1", "closed, on")));
  return h("div", {}, label, h("input", { id, "data-set": s.name, inputmode: "decimal", placeholder: "as it stands" }));
}
