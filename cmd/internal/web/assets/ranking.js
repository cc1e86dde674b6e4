// The ranking, in words and bars, and why a fault leads or is excluded.
import { $, bar, fill, h, open, sentence } from "./dom.js";
import { get } from "./net.js";
import { about, store } from "./store.js";

// shares are the percents of all faults that a job's groups list, by the fault's name.
function shares(job) {
  const out = new Map();
  for (const g of job ? job.groups : []) for (const f of g.faults) out.set(f.fault, f);
  return out;
}

// trend says how a fault's share has moved.
function trend(f, before) {
  if (before.size === 0) return null;
  const was = before.get(f.fault);
  const words = was ? (was.percent === f.percent ? "" : `was ${was.percent}`) : "new here";
  if (!words) return null;
  const up = !was || f.probability > was.probability;
  return h("span", { class: "trend" }, `${up ? "▲" : "▼"} ${words}`);
}

function faultItem(f, group, before, lead) {
  return h("li", { class: "fault" },
    h("div", {},
      h("strong", { class: lead ? "lead" : null }, f.fault), " ",
      group.faults.length > 1 ? h("span", { class: "own" }, f.percent) : null, " ",
      f.ohms ? h("span", { class: "own" }, f.ohms) : null, " ", trend(f, before),
      f.place ? h("span", { class: "place" }, f.place) : null),
    h("button", { class: "why", "aria-label": `Why ${f.fault}?`, onclick: () => why(f.fault) }, "Why?"));
}

// parts are the shares of a group's faults, so that a group of many does not look like one sure answer.
function parts(g) {
  const own = g.faults.map((f) => f.probability);
  const rest = g.probability - own.reduce((a, b) => a + b, 0);
  return rest > 0.005 ? [...own, rest] : own;
}

// seen are the faults of a group that stand open; the others are a tap away.
const seen = 3;

function others(g, before) {
  const rest = g.faults.slice(seen);
  const more = g.more ? `${g.more} more like these` : "";
  if (!rest.length) return more ? h("p", { class: "soft" }, "and " + more) : null;
  return h("details", {}, h("summary", {}, "The others of these"),
    h("ul", { class: "plain" }, rest.map((f) => faultItem(f, g, before, false))), more ? h("p", { class: "soft" }, "and " + more) : null);
}

export function show(before) {
  const j = store.job;
  const old = before && before.known ? shares(before) : new Map();
  $("words").textContent = j.verdict;
  fill($("groups"), j.groups.map((g, i) => h("li", { class: "group" },
    h("div", { class: "share" }, h("span", { class: g.faults.length > 1 ? "percent many" : "percent" }, g.percent), bar(...parts(g))),
    g.faults.length > 1 ? h("p", { class: "soft" }, "for one of these, which no reading so far tells apart:") : null,
    h("ul", { class: "plain" }, g.faults.slice(0, seen).map((f) => faultItem(f, g, old, i === 0 && g.faults.length === 1))), others(g, old))));
  $("rest").textContent = j.rest;
}

// moved is the leading fault's movement as a sentence for the ear.
export function moved(before) {
  const first = store.job.groups[0];
  if (!first) return "";
  if (first.faults.length > 1) return `Leading: ${first.percent} for one of several that no reading so far tells apart.`;
  const words = first.faults[0].fault;
  const was = shares(before).get(words);
  return `Leading: ${first.percent} for ${words}${was && was.percent !== first.faults[0].percent ? `, was ${was.percent}` : ""}.`;
}

async function why(fault) {
  $("why-title").textContent = "Why " + fault + "?";
  fill($("why-body"), h("p", {}, "Asking…"));
  open($("why"));
  try {
    const w = await get(about("why", { fault }));
    fill($("why-body"), h("p", {}, w.said), w.nothing.map((n) => h("p", { class: "warn" }, n)), w.readings.length ? table(w) : null);
  } catch (error) {
    fill($("why-body"), h("p", {}, sentence(error.message)));
  }
}

function table(w) {
  return h("table", {},
    h("caption", { class: "hidden" }, "Readings beside what this fault and a healthy circuit would show"),
    h("thead", {}, h("tr", {}, ["Reading", "Read", "This fault", "Healthy"].map((t) => h("th", { scope: "col" }, t)))),
    h("tbody", {}, w.readings.map((r) => h("tr", { class: r.against ? "against" : null },
      h("th", { scope: "row" }, r.where), h("td", {}, r.read),
      h("td", {}, r.against ? h("strong", {}, "≠ ", r.would, h("span", { class: "hidden" }, " speaks against it")) : r.would), h("td", {}, r.healthy)))));
}
