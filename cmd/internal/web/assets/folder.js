// The list of jobs, and the start of a new one.
import { $, fill, h, open, sentence } from "./dom.js";
import { No, get, link, listen, post } from "./net.js";
import { queue } from "./queue.js";

let folder = { jobs: [], circuits: [], library: [] };

const address = (file) => "/job?file=" + encodeURIComponent(file);

function showLink() {
  const waiting = queue.waiting();
  $("link").textContent = link.here ? (waiting ? `${waiting} to send` : "") : "No connection";
  $("link").classList.toggle("bad", !link.here);
}

function matches(job, words) {
  const all = [job.machine, job.complaint, job.file, ...job.codes].join(" ").toLowerCase();
  return words.every((w) => all.includes(w));
}

function card(job) {
  const facts = [job.readings === 1 ? "1 reading" : `${job.readings} readings`];
  if (job.codes.length) facts.unshift(job.codes.join(", "));
  const waiting = queue.of(job.file).length;
  if (waiting) facts.push(`${waiting} not sent yet`);
  return h("li", {},
    h("a", { class: "card", href: address(job.file) },
      h("strong", {}, job.machine || job.file),
      job.complaint ? h("span", {}, job.complaint) : null,
      h("span", { class: "soft" }, facts.join("; ")),
      h("span", { class: "soft" }, `${job.file}, ${job.changed}`)));
}

function show() {
  const words = $("search").value.toLowerCase().split(/\s+/).filter(Boolean);
  const good = folder.jobs.filter((j) => !j.problem);
  const found = good.filter((j) => matches(j, words));
  fill($("jobs"), found.map(card));
  $("count").textContent = good.length === 0 ? "No job in this folder yet."
    : words.length ? `${found.length} of ${good.length} jobs` : good.length === 1 ? "One job" : `${good.length} jobs`;
  const bad = [
    ...folder.jobs.filter((j) => j.problem).map((j) => h("li", {}, h("a", { href: address(j.file) }, j.file), ": ", j.problem)),
    ...folder.circuits.filter((c) => c.problem).map((c) => h("li", {}, c.name, ": ", c.problem)),
  ];
  fill($("troubles"), bad);
  $("troubled").hidden = bad.length === 0;
  $("invite").hidden = !folder.invites;
  showLink();
}

async function load() {
  try {
    folder = await get("/api/folder");
    show();
  } catch (error) {
    if (error instanceof No && error.status === 401) location.reload();
    showLink();
  }
}

function choices() {
  const chosen = $("circuit").value;
  const option = (c) => h("option", { value: c.name }, c.title);
  const own = folder.circuits.filter((c) => !c.problem);
  fill($("circuit"), h("option", { value: "" }, "Choose…"),
    own.length ? h("optgroup", { label: "In this folder" }, own.map((c) => h("option", { value: c.name }, c.title === c.name ? c.title : `${c.title} (${c.name})`))) : null,
    h("optgroup", { label: "Library" }, folder.library.map(option)));
  $("circuit").value = chosen;
}

async function showCodes() {
  const circuit = $("circuit").value;
  let codes = [];
  if (circuit) {
    try {
      codes = (await get("/api/codes?circuit=" + encodeURIComponent(circuit))).codes;
    } catch (error) {
      wrong(error.message);
    }
  }
  fill($("codelist"), codes.map((c) => h("label", { class: "toggle" }, h("input", { type: "checkbox", value: c }), h("span", {}, c))));
  $("codes").hidden = codes.length === 0;
}

function wrong(words) {
  $("wrong").textContent = words ? sentence(words) : "";
  $("wrong").hidden = !words;
}

$("new").addEventListener("click", () => {
  wrong("");
  choices();
  open($("starting"));
});
$("circuit").addEventListener("change", showCodes);
$("search").addEventListener("input", show);
$("form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const button = event.submitter || $("form").querySelector(".primary");
  button.disabled = true;
  wrong("");
  try {
    const made = await post("/api/jobs", {
      circuit: $("circuit").value, machine: $("machine").value, complaint: $("complaint").value,
      codes: [...$("codelist").querySelectorAll("input:checked")].map((i) => i.value), intermittent: $("intermittent").checked,
    });
    location.href = address(made.file);
  } catch (error) {
    wrong(error instanceof No ? error.message : "No connection: the job was perhaps not started. Look at the list before you try again.");
    button.disabled = false;
  }
});
$("invite").addEventListener("click", async () => {
  const { ways } = await get("/api/invitation");
  $("qr").src = "/door/invite.svg";
  fill($("ways"), ways.flatMap((w) => [h("dt", {}, "Address"), h("dd", {}, w.page), ...(w.code ? [h("dt", {}, "Code"), h("dd", {}, w.code)] : [])]));
  open($("inviting"));
});

link.onchange(showLink);
queue.onchange(show);
queue.flush();
listen("/api/events", { afresh: load, folder: load });
load();
