// The ways of a class side by side, those of one exercise together.
import { h, sentence } from "./dom.js";
import { minutes } from "./pace.js";
import { faultWords, round } from "./marks.js";

export function pathsOf(paths) {
  if (paths.length === 0) return h("p", {}, "Nobody has an exercise yet.");
  const groups = Map.groupBy ? Map.groupBy(paths, (p) => p.exercise) : group(paths);
  return h("div", {}, [...groups].map(([exercise, list]) => h("div", {},
    h("h3", {}, `Exercise ${exercise}, family ${list[0].family}: ${faultWords(list[0].truth)}`),
    h("div", { class: "paths", tabindex: "0", role: "region", "aria-label": `Ways through exercise ${exercise}` }, list.map(path), plan(list[0])))));
}

function group(paths) {
  const out = new Map();
  for (const p of paths) out.set(p.exercise, [...(out.get(p.exercise) || []), p]);
  return out;
}

function path(p) {
  const end = !p.done ? "no finding" : p.right ? "right place" : "wrong place";
  return h("div", { class: "path" },
    h("strong", {}, p.name), h("p", { class: "small" }, `${minutes(p.minutes)}, ${end}${p.marks ? `, ${round(p.marks.total)} of ${round(p.marks.most)} points` : ""}`),
    h("ol", {}, p.steps.map((s, i) => h("li", {}, s.words, s.refused ? h("strong", {}, ` refused: ${s.refused}`) : h("strong", {}, ` ${s.reply}`), s.reason ? h("span", { class: "soft small" }, ` · because ${s.reason}`) : null, told(p.marks && p.marks.steps[i])))));
}

// told is what a reading told, as a length and in words.
function told(s) {
  if (!s || s.places_before === 0) return null;
  const bits = Math.round(s.told_bits * 10) / 10;
  const words = s.told_nothing ? "told nothing" : bits < 0 ? `a surprise: ${-bits} bits more to find out` : `told ${bits} bits`;
  return h("span", { class: "small" }, h("br", {}), `${"█".repeat(Math.max(0, Math.min(12, Math.round(s.told_bits * 3))))} ${words}: ${s.places_before} → ${s.places_after} places open`, s.better ? h("span", { class: "soft" }, ` · better: ${sentence(s.better)}`) : null);
}

function plan(p) {
  return h("div", { class: "path" }, h("strong", {}, "The planner"), h("p", { class: "small" }, minutes(p.plan_minutes)), h("ol", {}, p.plan.map((words) => h("li", {}, words))));
}
