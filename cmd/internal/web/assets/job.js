// One job: what is known of it, and what is done about it. The parts of the page are in files of their own.
import { $, fill, h, say } from "./dom.js";
import { No, get, link, listen } from "./net.js";
import { queue } from "./queue.js";
import { about, on, store } from "./store.js";
import * as drawing from "./drawing.js";
import * as machine from "./machine.js";
import * as plan from "./plan.js";
import * as points from "./points.js";
import * as ranking from "./ranking.js";
import * as readings from "./readings.js";
import * as sheet from "./sheet.js";

const circuitVersion = (version) => version.split("-")[1];

function showHead() {
  const j = store.job;
  document.title = `${j.machine || j.file}: ohmtrail`;
  $("title").textContent = j.machine || j.title || j.file;
  $("complaint").textContent = j.complaint;
  const facts = [j.codes.length ? "codes " + j.codes.join(", ") : "", j.intermittent ? "comes and goes" : "", j.title, j.file];
  $("facts").textContent = facts.filter(Boolean).join("; ");
  document.body.classList.toggle("stop", j.pyrotechnic);
  $("broken").hidden = j.broken.length === 0 && !j.pyrotechnic;
  if (j.pyrotechnic) {
    fill($("broken"), h("p", {}, j.cautions[0]));
  } else if (j.broken.length) {
    fill($("broken"),
      h("p", {}, h("strong", {}, "The file cannot be read as it stands. "), j.known
        ? "What is shown is from before. Nothing is written until it is put right; what you type is kept on this device."
        : "Nothing is written into it until it is put right."),
      j.broken.map((p) => h("p", {}, p.words, p.text ? h("code", {}, p.text) : null)));
  }
  fill($("cautions"), j.cautions.map((c) => h("li", {}, c)));
  fill($("warnings"), j.warnings.length ? h("h3", {}, "Odd in the file") : null, h("ul", {}, j.warnings.map((w) => h("li", {}, w.words))));
  const papers = (sheet) => j.can.writeups.filter((w) => w.sheet === sheet)
    .map((w) => h("a", { class: "button", download: true, href: about("report", { form: w.form }) }, w.label));
  for (const [box, list, links] of [["writeup", "forms", papers(false)], ["learn", "sheets", papers(true)]]) {
    $(box).hidden = links.length === 0 || !j.known;
    fill($(list), links);
  }
}

function showLink() {
  const waiting = queue.waiting();
  const words = [];
  if (!link.here) words.push("No connection");
  if (waiting) words.push(waiting === 1 ? "1 reading kept here, not sent yet" : `${waiting} readings kept here, not sent yet`);
  const broken = store.job && store.job.broken.length > 0;
  if (broken) words.push("File at fault");
  if (!words.length && store.job) words.push("All in the file");
  $("link").textContent = words.join("; ");
  $("link").classList.toggle("bad", !link.here || waiting > 0 || broken);
}

let ranked = null; // the job as it was ranked last
const heard = { job: "", ranked: "" }; // the versions that the events spoke of last

// take shows a job as the server has just said it. own is a word for what this page did, for the ear. A job whose text is
// not ranked yet comes with the groups of the text before; an event says when that has changed.
function take(job, own = "") {
  const before = store.job;
  if ((own && heard.job !== job.version) || (!job.ranked && heard.ranked === job.version)) again(); // an event was faster
  if (before && before.version === job.version && before.broken.length === job.broken.length && before.ranked === job.ranked) {
    machine.heard(job.state, job.stated);
    return;
  }
  store.job = job;
  showHead();
  showLink();
  machine.heard(job.state, job.stated);
  if (!job.known) return;
  readings.show();
  sheet.refresh();
  $("weighing").hidden = job.ranked || job.broken.length > 0;
  if (job.ranked || !before) ranking.show(ranked);
  if (job.broken.length === 0) follow(job);
  const change = job.ranked && ranked ? ranking.moved(ranked) : "";
  const news = own || (before && before.version !== job.version ? "The job has changed." : "");
  if (before && (news || change)) say([news, change].filter(Boolean).join(" "));
  if (job.ranked) ranked = job;
}

// follow fetches what does not come with the job: the circuit, and what takes longer than the ranking, first what the eye
// waits for.
let following = 0;
async function follow({ version, ranked: done }) {
  const mine = ++following;
  const still = () => mine === following;
  plan.waiting();
  try {
    if (!store.circuit || circuitVersion(store.circuit.version) !== circuitVersion(version)) {
      const circuit = await get(about("circuit"));
      if (!still()) return;
      store.circuit = circuit;
      points.show();
      machine.know();
      sheet.know();
    }
    if (!done) return;
    const planned = await get(about("plan", { version }));
    if (!still()) return;
    if (planned.version === version) {
      store.plan = planned;
      plan.show();
    }
    await drawing.show(version, still);
  } catch (error) {
    if (still()) plan.failed(error);
  }
}

// restep asks for the steps anew after hands have changed the machine's state: they begin with what is taken back. While a sheet is
// open nothing moves behind it.
async function restep() {
  if (!store.plan || document.querySelector("dialog[open]")) return;
  const mine = following;
  try {
    const planned = await get(about("plan", { version: store.plan.version }));
    if (mine !== following || !store.plan || planned.version !== store.plan.version || document.querySelector("dialog[open]")) return;
    store.plan = planned;
    plan.show();
  } catch {
    // the steps shown stay; the next reading brings others
  }
}

// again asks for the job anew; two questions at once become one more after the first.
let asking = false;
let asked = false;
async function again() {
  asked = true;
  if (asking) return;
  asking = true;
  try {
    while (asked) {
      asked = false;
      take(await get(about("job")));
    }
  } catch (error) {
    if (error instanceof No && error.status === 401) location.reload();
    else if (error instanceof No) gone(error.message);
  } finally {
    asking = false;
  }
}

function gone(words) {
  $("broken").hidden = false;
  fill($("broken"), h("p", {}, words + ". What you typed and was not sent is kept on this device."));
}

$("take-next").addEventListener("click", () => plan.takeFirst());
$("take-any").addEventListener("click", () => {
  $("pointlist").open = true;
  $("list").scrollIntoView({ block: "start" });
  $("find").focus({ preventScroll: true });
});
$("undo").addEventListener("click", () => readings.takeBack());

on("job", ({ job, own }) => take(job, own));
on("again", again);
link.onchange((here) => {
  showLink();
  if (here) again();
});
queue.onchange(() => {
  showLink();
  if (store.job) readings.show();
});
queue.flush();
listen(about("events"), {
  afresh: again,
  job: (event) => {
    heard.job = event.version;
    if (!store.job || event.version !== store.job.version) again();
  },
  ranked: (event) => {
    heard.ranked = event.version;
    if (store.job && event.version === store.job.version && !store.job.ranked) again();
  },
  state: (event) => {
    machine.heard(event.state, event.stated);
    restep();
  },
  gone: (event) => gone(event.error),
});
again();
