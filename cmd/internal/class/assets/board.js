// The trainer's board.
import { $, h, say, sentence } from "./dom.js";
import { Away, get, link, listen, post } from "./net.js";
import { minutes, once } from "./pace.js";
import { faultWords, round } from "./marks.js";
import { pathsOf } from "./paths.js";

let board = null;
const stuckSeconds = 300; // without a step
const stuckReadings = 3; // that told nothing, one after the other

const refresh = once(1000, async () => {
  try {
    show(await get("/api/board"));
    $("away").hidden = true;
  } catch (e) {
    if (e instanceof Away) $("away").hidden = false;
    else fail(e.message);
  }
});

function fail(words) {
  $("failed").textContent = words === "" ? "" : sentence(words);
  $("failed").hidden = words === "";
}

const phases = { waiting: "students join", running: "running", closed: "closed" };

function show(now) {
  if (board && board.phase !== now.phase) $("door").open = now.phase === "waiting";
  board = now;
  $("phase").textContent = `Round ${board.round}: ${phases[board.phase]}`;
  $("start").disabled = board.phase !== "waiting";
  $("close").disabled = board.phase !== "running";
  $("reopen").disabled = board.phase !== "closed";
  $("new").disabled = board.phase === "running";
  for (const r of document.querySelectorAll("[name=when]")) r.checked = r.value === board.marks_when;
  const way = board.ways[0];
  $("invite").hidden = !way;
  if (way) {
    $("address").textContent = way.page;
    $("code").textContent = way.code;
    $("others").textContent = way.urls.length > 1 ? `This machine has other addresses too: ${way.urls.slice(1).map((u) => u.split("#")[0]).join(", ")}` : "";
  }
  picks();
  students();
}

function picks() {
  const families = [...new Set(board.exercises.map((x) => x.family))].sort();
  $("picked").textContent = board.pick.length === board.exercises.length ? `all ${board.pick.length} exercises` : `${board.pick.length} of ${board.exercises.length} exercises`;
  if ($("family").options.length !== families.length + 2) {
    $("family").replaceChildren(h("option", { value: "" }, "choose…"), h("option", { value: "*" }, "all"), ...families.map((f) => {
      const n = board.exercises.filter((x) => x.family === f);
      return h("option", { value: f }, `family ${f}: ${n.length} of level ${[...new Set(n.map((x) => x.level))].join(", ")}, ${n[0].complaint}`);
    }));
  }
  const wanted = board.exercises.map((x) => x.name).join();
  if ($("exercises").dataset.names !== wanted) {
    $("exercises").dataset.names = wanted;
    $("exercises").replaceChildren(...board.exercises.map((x) => h("label", {}, h("input", { type: "checkbox", name: "pick", value: x.name }), `${x.name} (family ${x.family}, level ${x.level})`)));
  }
  for (const e of document.querySelectorAll("[name=pick]")) e.checked = board.pick.includes(e.value);
}

// flags are what a trainer should walk over for, in words.
function flags(s) {
  const out = [];
  if (s.done) return out;
  if (board.phase === "running" && s.exercise && s.quiet_seconds > stuckSeconds) out.push(`quiet for ${Math.floor(s.quiet_seconds / 60)} min`);
  if (s.told_nothing >= stuckReadings) out.push(`${s.told_nothing} readings told nothing`);
  if (s.unsafe > 0) out.push(`${s.unsafe} not safe`);
  if (s.plan_minutes > 0 && s.minutes > 4 * s.plan_minutes + 10) out.push("far over time");
  return out;
}

function students() {
  const open = $("reveal").checked;
  const heads = ["Name", "Exercise", "Readings", "Minutes", "Last step", "State"];
  if (open) heads.push("Places open", "True place", "Answer", "Finding");
  heads.push("Seat");
  $("heads").replaceChildren(...heads.map((t) => h("th", { scope: "col" }, t)));
  const stuck = board.students.filter((s) => flags(s).length > 0);
  const done = board.students.filter((s) => s.done);
  $("tally").textContent = board.students.length === 0 ? "Nobody has joined yet." : `${board.students.length} in the class, ${done.length} with a finding, ${stuck.length} to be looked after.` + (board.waiting ? ` Readings of ${board.waiting} are being weighed.` : "");
  $("students").replaceChildren(...board.students.map((s) => row(s, open)));
}

function row(s, open) {
  const state = s.done ? "finding given" + (s.total === null ? "" : `, ${round(s.total)} of ${round(s.most)}`) : !s.exercise ? "waits" : s.here ? "at work" : "page closed";
  const cells = [
    h("th", { scope: "row" }, s.name), h("td", {}, s.exercise || "–"), h("td", { class: "number" }, String(s.readings)), h("td", { class: "number" }, minutes(s.minutes)), h("td", {}, s.last || "–"),
    h("td", {}, state, flags(s).map((f) => [" ", h("span", { class: "flag" }, f)])),
  ];
  if (open) {
    const x = board.exercises.find((e) => e.name === s.exercise);
    cells.push(
      h("td", { class: "number" }, s.open_places === 0 ? "–" : s.fresh ? String(s.open_places) : `${s.open_places} (before)`), h("td", { class: "number" }, s.open_places === 0 ? "–" : `${Math.round(100 * s.true_place_share)} %`),
      h("td", {}, x ? faultWords(x.truth) : "–"), h("td", {}, s.done ? `${s.found}: ${s.right ? "right place" : "wrong place"}` : "–"));
  }
  cells.push(h("td", {}, h("button", {
    type: "button", "aria-label": s.free ? `Is free: keep it, the seat of ${s.name}` : `Free it: the seat of ${s.name}, for another device`,
    onclick: () => act("/api/board/seat", { id: s.id, do: s.free ? "keep" : "free" }),
  }, s.free ? "Is free: keep it" : "Free it"), " ", h("button", {
    type: "button", "aria-label": `Remove ${s.name} from the class`,
    onclick: () => confirm(`Remove ${s.name} from the class? What was played stays on this machine's disk.`) && act("/api/board/seat", { id: s.id, do: "remove" }),
  }, "Remove")));
  return h("tr", {}, cells);
}

async function act(url, value, words) {
  fail("");
  try {
    await post(url, value);
    if (words) say(words);
    refresh();
  } catch (e) {
    fail(e.message);
  }
}

const roundDo = (what, words) => act("/api/board/round", { do: what }, words);
$("start").addEventListener("click", () => roundDo("start", "The round runs"));
$("close").addEventListener("click", () => roundDo("close", "The round is closed"));
$("reopen").addEventListener("click", () => roundDo("reopen", "The round runs again"));
$("new").addEventListener("click", () => roundDo("new", "A new round"));
for (const r of document.querySelectorAll("[name=when]")) r.addEventListener("change", () => act("/api/board/round", { do: "", marks_when: r.value }));
$("family").addEventListener("change", () => {
  const f = $("family").value;
  if (f) act("/api/board/round", { do: "", pick: board.exercises.filter((x) => f === "*" || x.family === f).map((x) => x.name) });
});
$("exercises").addEventListener("change", () => act("/api/board/round", { do: "", pick: [...document.querySelectorAll("[name=pick]:checked")].map((e) => e.value) }));
$("reveal").addEventListener("change", () => board && students());
$("compare").addEventListener("click", async () => {
  try {
    $("paths").replaceChildren(pathsOf(await get("/api/board/paths")));
  } catch (e) {
    fail(e.message);
  }
});

listen("/api/board/events", { afresh: refresh, changed: refresh });
link.onchange((here) => { $("away").hidden = here; });
setInterval(() => document.hidden || refresh(), 15000); // for how long they have been quiet
refresh();
