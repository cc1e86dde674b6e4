// Test points: as a list of buttons, and as choices of a lead.
import { $, fill, h } from "./dom.js";
import { store, tell } from "./store.js";

// pointAt finds a point of the circuit by its name.
export function pointAt(at) {
  for (const part of store.circuit ? store.circuit.parts : []) {
    for (const p of part.points) if (p.at === at) return p;
  }
  return null;
}

// choosePoints are all points as options of a select, by part.
export function choosePoints() {
  return [h("option", { value: "" }, "Choose…"), ...store.circuit.parts.map((part) => h("optgroup", { label: part.label ? `${part.name}, ${part.label}` : part.name },
    part.points.map((p) => h("option", { value: p.at }, `${p.at}  ${p.words}`))))];
}

export function show() {
  const words = $("find").value.toLowerCase().split(/\s+/).filter(Boolean);
  const fits = (part, p) => words.every((w) => `${p.at} ${p.words} ${part.label}`.toLowerCase().includes(w));
  const groups = store.circuit.parts.map((part) => [part, part.points.filter((p) => fits(part, p))]).filter(([, list]) => list.length);
  fill($("points"), groups.length ? groups.map(([part, list]) => h("section", { class: "part" },
    h("h3", {}, part.name, part.label ? h("small", {}, " ", part.label) : null),
    h("div", { class: "pointgrid" }, list.map((p) => h("button", { class: "point", onclick: () => tell("measure", { at: p.at }) }, h("strong", {}, p.at), h("span", {}, p.words)))))) : h("p", {}, "No point is called so."));
}

$("find").addEventListener("input", () => { if (store.circuit) show(); });
