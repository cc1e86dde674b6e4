// What the marking says, for the student and for the trainer.
import { h } from "./dom.js";
import { minutes } from "./pace.js";

const names = {
  place: "Right place", kind: "Right kind of fault", proof: "Proof taken", reasons: "Reasons given", placing: "Readings with their conditions", telling: "Readings that told something",
  minutes: "Minutes", remedy: "What is to be done", good_part: "Good parts condemned", good_joint: "Good joints opened", unsafe: "Not safe", guess: "Guesses",
};

// marksOf is the whole account of one way.
export function marksOf(m) {
  return [
    h("p", {}, h("strong", {}, `${round(m.total)} of ${round(m.most)} points`)),
    h("p", {}, `It was: ${faultWords(m.truth)}. You named: ${faultWords(m.found)}.`),
    h("p", {}, `Your way took ${minutes(m.minutes)}; the best plan ${minutes(m.plan_minutes)}, half-split ${minutes(m.half_split_minutes)}.`),
    h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Points" }, h("table", {}, h("thead", {}, h("tr", {}, h("th", { scope: "col" }, "For"), h("th", { scope: "col", class: "number" }, "Points"), h("th", { scope: "col" }, "Why"))),
      h("tbody", {}, m.parts.filter((p) => p.most > 0 || p.points !== 0).map((p) => h("tr", {}, h("th", { scope: "row" }, names[p.part] || p.part), h("td", { class: "number" }, p.most > 0 ? `${round(p.points)} of ${round(p.most)}` : round(p.points)), h("td", {}, p.why)))))),
    h("h3", {}, "Step by step"),
    h("ol", {}, m.steps.map((s) => h("li", {}, h("strong", {}, s.line), s.reply ? `: ${s.reply}` : "", s.says.map((w) => h("p", { class: "small" }, w))))),
    m.note ? h("p", {}, `Your trainer: ${m.note}`) : null,
  ].filter(Boolean);
}

export const round = (v) => String(Math.round(v * 10) / 10);

// faultWords is a fault's name with the unit of its resistance.
export const faultWords = (name) => name.split(" + ").map((f) => f.replace(/^((?:high-resistance|short-)\S* .*\S) ([\d.e+]+)$/, "$1, $2 Ω")).join(" + ");
