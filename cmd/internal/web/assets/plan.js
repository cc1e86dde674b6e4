// The one next reading, with what each outcome would mean, and the few after it.
import { $, bar, fill, h, sentence } from "./dom.js";
import { Away } from "./net.js";
import { store, tell } from "./store.js";
import * as machine from "./machine.js";
import * as drawing from "./drawing.js";

// waiting stands in the card's place while the plan is worked out: the old one would ask for what may be known by now.
export function waiting() {
  store.plan = null;
  $("card").setAttribute("aria-busy", "true");
  fill($("card"), h("p", { class: "soft" }, "Working out the next reading…"));
  $("take-next").disabled = true;
  drawing.mark(null);
}

export function failed(error) {
  $("card").removeAttribute("aria-busy");
  fill($("card"), h("p", {}, error instanceof Away ? "No connection: the next reading cannot be worked out now. Readings can be typed all the same." : sentence(error.message)));
}

function outcomes(o) {
  return h("ul", { class: "outcomes plain" }, o.outcomes.map((x) => h("li", {},
    h("div", { class: "share" }, h("span", { class: "percent" }, x.percent), bar(x.probability)), h("p", {}, x.says))));
}

function card(o, first) {
  return [
    o.cautions.map((c) => h("p", { class: "care" }, h("strong", {}, "Care: "), c)),
    h("ol", { class: "steps" }, o.steps.map((s) => h("li", {}, s))),
    h("p", { class: "soft" }, `${o.worth} of work. `, o.confirms ? "It would show the opposite if the leading place were not the one." : ""),
    h("button", { class: first ? "primary wide" : "wide", onclick: () => takeOne(o) }, "Done as said: type the value"),
    h("h3", {}, "What it would mean"), outcomes(o),
  ];
}

export function show() {
  const p = store.plan;
  $("card").removeAttribute("aria-busy");
  const [first, ...others] = p.readings;
  const done = p.done ? [h("p", { class: "done" }, h("strong", {}, "Done. "), p.reason)] : [];
  const places = p.places.length > 1 ? h("details", {}, h("summary", {}, "Places left"),
    h("ul", {}, p.places.map((x) => h("li", {}, `${x.percent} ${x.place}`, x.leading ? `: ${x.leading}` : "")))) : null;
  $("next-title").textContent = p.done && first ? "Done; to be surer still" : p.done ? "Done" : "Next reading";
  fill($("card"), done, first ? card(first, !p.done) : p.done ? null : h("p", {}, p.reason),
    others.length ? h("details", {}, h("summary", {}, others.length === 1 ? "Another reading worth taking" : `${others.length} other readings worth taking`),
      others.map((o) => h("section", { class: "other", "aria-label": "Another reading" }, card(o, false)))) : null, places);
  fill($("advice"), (p.done ? [] : first ? [p.reason] : []).concat(p.advice).map((a) => h("li", {}, a)));
  $("take-next").disabled = !first;
  drawing.mark(first ? first.reading : null);
}

// takeOne says that the machine is as the reading wants it, and opens the sheet for its value.
function takeOne(o) {
  machine.set(o.state);
  tell("measure", { at: o.reading.at, to: o.reading.to, quantity: o.reading.quantity });
}

export function takeFirst() {
  if (!store.plan || !store.plan.readings.length) return;
  $("next").scrollIntoView({ block: "start" });
  const button = $("card").querySelector("button.wide");
  if (button) button.focus({ preventScroll: true });
}
