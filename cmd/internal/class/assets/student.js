// A student's page: what is sent, what comes back, and which parts of the page are there.
import { $, h, say, sentence } from "./dom.js";
import { Away, No, get, link, listen, post, text } from "./net.js";
import { minutes, once } from "./pace.js";
import * as picture from "./picture.js";
import * as lists from "./lists.js";
import * as reading from "./reading.js";
import { marksOf } from "./marks.js";

let me = null;
let shown = 0; // the round whose circuit the page shows
let sending = false;

const refresh = once(300, async () => {
  try {
    await show(await get("/api/me"));
  } catch (e) {
    if (e instanceof Away) setTimeout(refresh, 3000);
    else fail(e.message);
  }
});

link.onchange((here) => { $("away").hidden = here; });

function fail(words) {
  $("failed").textContent = words === "" ? "" : sentence(words);
  $("failed").hidden = words === "";
}

async function show(now) {
  const before = me;
  me = now;
  const playing = me.exercise !== null;
  const active = playing && me.phase === "running" && !me.done;
  $("joining").hidden = me.joined;
  $("standby").hidden = !me.joined || playing;
  for (const id of ["story", "drawn", "log"]) $(id).hidden = !playing;
  for (const id of ["measure", "other", "finding", "jump"]) $(id).hidden = !active;
  $("result").hidden = !playing || active;
  $("who").textContent = me.name;
  $("minutes").textContent = playing ? `${minutes(me.minutes)} of work` : "";
  if (!me.joined) return;
  if (!playing) {
    $("standbywords").textContent = me.phase === "closed" ? "This round is closed. The next one begins when your trainer starts it." : "You are in. The exercise appears here when your trainer starts it.";
    shown = 0;
    $("latest").replaceChildren();
    return;
  }
  if (shown !== me.round) {
    shown = me.round;
    await begin();
  }
  steps(before);
  result();
}

// begin shows a new machine.
async function begin() {
  const x = me.exercise;
  $("title").textContent = x.title;
  document.title = x.title;
  $("complaint").textContent = `“${x.complaint}”`;
  const facts = [x.machine, x.codes.length ? `Codes: ${x.codes.join(", ")}` : "No codes", `battery ${x.battery}`];
  if (x.stands.length) facts.push(`as it stands: ${x.stands.join(", ")}`);
  if (x.intermittent) facts.push("the complaint comes and goes");
  $("facts").textContent = facts.filter((f) => f).join(" · ");
  $("cautions").replaceChildren(...x.cautions.map((c) => h("li", {}, c)));
  lists.fill(await get("/api/circuit"));
  $("question").replaceChildren(h("option", { value: "" }, "choose…"), ...x.questions.map((q, i) => h("option", { value: i + 1 }, q)));
  picture.put(await text("/api/drawing"));
  leads();
}

// place puts a lead where the drawing was tapped.
function place(at) {
  const lead = document.querySelector("[name=lead]:checked").value;
  const q = reading.quantity();
  if (q === "scan" || q === "amps") {
    document.querySelector("[name=quantity][value=volts]").checked = true;
    reading.show();
  }
  $(lead).value = at;
  say(`${lead} lead on ${at}`);
  if (reading.quantity() === "ohms") document.querySelector(`[name=lead][value=${lead === "red" ? "black" : "red"}]`).checked = true;
  leads();
}

function leads() {
  picture.mark({ red: $("red").value, black: $("black").value }, true);
  ask();
}

// ask says what the reading would take before it is taken.
const ask = once(250, async () => {
  const line = reading.line();
  $("cost").className = "cost";
  if (line === "" || !me || me.done) {
    $("cost").textContent = reading.lacks();
    return;
  }
  try {
    const c = await post("/api/cost", { round: me.round, after: me.steps.length, line, reason: "" });
    $("cost").textContent = `${sentence(c.words)} This takes ${minutes(c.minutes)}.`;
  } catch (e) {
    $("cost").className = "cost wrong";
    $("cost").textContent = sentence(e.message);
  }
});

// step does one thing on the machine. What is sent twice happens once: the server knows how many steps this page had seen.
async function step(line, reason) {
  if (sending) return false;
  sending = true;
  fail("");
  for (const b of document.querySelectorAll("main button.go")) b.disabled = true;
  const asked = { round: me.round, after: me.steps.length, line, reason };
  try {
    for (let tries = 0; ; tries++) {
      try {
        await show(await post("/api/step", asked));
        break;
      } catch (e) {
        if (!(e instanceof Away) || tries === 20) throw e;
        await new Promise((wake) => setTimeout(wake, 1500));
      }
    }
    const last = me.steps[me.steps.length - 1];
    say(last.refused ? `Refused: ${last.refused}` : last.reply);
    return true;
  } catch (e) {
    fail(e.message);
    if (e instanceof No && e.status === 409) refresh();
    return false;
  } finally {
    sending = false;
    for (const b of document.querySelectorAll("main button.go")) b.disabled = false;
  }
}

function steps(before) {
  const last = me.steps[me.steps.length - 1];
  $("latest").replaceChildren(...(last && !me.done ? [h("strong", last.refused ? { class: "wrong" } : {}, last.refused ? `Refused: ${last.refused}` : last.reply), ` ${last.words}`] : []));
  $("nothing").hidden = me.steps.length > 0;
  if (before && before.round === me.round && before.steps.length === me.steps.length && $("steps").children.length === me.steps.length) return;
  const rows = me.steps.map((s, i) => h("li", {},
    h("span", { class: "soft small" }, `${i + 1}. `), s.words, s.refused ? null : h("span", { class: "soft small" }, ` · ${minutes(s.minutes)}`),
    s.reason ? h("span", { class: "soft small" }, ` · because ${s.reason}`) : null,
    s.refused ? h("strong", { class: "wrong" }, `${s.unsafe ? "Not safe" : "Refused"}: ${s.refused}`) : h("strong", {}, s.reply)));
  $("steps").replaceChildren(...rows.reverse());
}

function result() {
  if ($("result").hidden) return;
  const box = $("marks");
  if (!me.done) box.replaceChildren(h("p", {}, "The round is closed. You gave no finding."));
  else if (me.marks) box.replaceChildren(...marksOf(me.marks));
  else if (me.marks_when === "closing" && me.phase !== "closed") box.replaceChildren(h("p", {}, "Your finding is given. Marks and what each reading told are shown when your trainer closes the round."));
  else box.replaceChildren(h("p", { role: "status" }, "Your finding is given. Your way is being marked; it appears here."));
}

$("join").addEventListener("submit", async (event) => {
  event.preventDefault();
  $("joinwords").textContent = "";
  try {
    await post("/api/join", { name: $("name").value });
    stream.again();
    await refresh();
  } catch (e) {
    $("joinwords").textContent = sentence(e.message);
  }
});

// What was lacking is being put right.
$("main").addEventListener("input", () => fail(""));

$("reading").addEventListener("input", () => {
  reading.show();
  leads();
});

$("reading").addEventListener("submit", async (event) => {
  event.preventDefault();
  const why = $("why").value.trim();
  if (reading.lacks()) return fail(reading.lacks());
  if (why.length < 3) {
    fail("Say first why you take this reading, and what you expect. The reason is marked too");
    $("why").focus();
    return;
  }
  if (await step(reading.line(), why)) {
    $("why").value = "";
    ask();
  }
});

// simple wires a form of one list.
function simple(form, list, verb, missing, why) {
  $(form).addEventListener("submit", async (event) => {
    event.preventDefault();
    if ($(list).value === "") return fail(missing);
    const reason = why ? $(why).value.trim() : "";
    if (why && reason.length < 3) {
      $(why).focus();
      return fail("Say first why it is this place");
    }
    if (await step(`${verb} ${$(list).value}`, reason)) {
      $(list).value = "";
      if (why) $(why).value = "";
    }
  });
}
simple("look", "lookat", "look", "Choose where to look");
simple("ask", "question", "ask", "Choose a question");
simple("repair", "repairat", "repair", "Choose what to put right", "repairwhy");

$("repairat").addEventListener("change", async () => {
  $("repaircost").textContent = "";
  if ($("repairat").value === "") return;
  try {
    const c = await post("/api/cost", { round: me.round, after: me.steps.length, line: `repair ${$("repairat").value}`, reason: "" });
    $("repaircost").textContent = `This takes ${minutes(c.minutes)}. A good part replaced costs most in the marks.`;
  } catch (e) {
    $("repaircost").textContent = sentence(e.message);
  }
});

$("find").addEventListener("submit", async (event) => {
  event.preventDefault();
  if ($("fault").value === "") return fail("Say what is wrong, and where");
  if ($("remedy").value.trim().length < 3) {
    $("remedy").focus();
    return fail("Say what is to be done about it");
  }
  if (!$("sure").checked) return fail("Tick that this is your finding: it ends the exercise");
  const name = $("fault2").value ? `${$("fault").value} + ${$("fault2").value}` : $("fault").value;
  const remedy = $("remedy").value.replace(/\bbecause\b/gi, "as");
  if (await step(`find ${name}; ${remedy}`, $("findwhy").value.trim())) $("result").scrollIntoView({ block: "start" });
});

picture.begin({ tap: (near, under) => under.length && place(under[0].at), start: matchMedia("(min-width: 64rem)").matches ? 0 : 0.9 });
const stream = listen("/api/events", { afresh: refresh, changed: refresh });
refresh();
