// The drawing, with test points that can be tapped. Its keyboard equal is the lists of points.
import { $, text } from "./page.js";

const box = $("drawing");
const space = "http://www.w3.org/2000/svg";
const finger = 26; // half of what a finger needs, in pixels of the screen
let svg = null;
let width = 0;
let zoom = matchMedia("(min-width: 64rem)").matches ? 0 : 0.9; // 0: the whole drawing
let leads = {};
let placed = () => {};

export async function load(onPlace) {
  placed = onPlace;
  const parsed = new DOMParser().parseFromString(await text("/api/drawing"), "image/svg+xml").documentElement;
  if (parsed.localName !== "svg") return;
  svg = document.importNode(parsed, true);
  width = svg.viewBox.baseVal.width;
  svg.removeAttribute("height");
  svg.removeAttribute("width");
  for (const p of points()) {
    const c = document.createElementNS(space, "circle");
    c.setAttribute("class", "mark");
    for (const [name, v] of [["cx", p.x], ["cy", p.y], ["r", 9]]) c.setAttribute(name, v);
    p.g.append(c);
  }
  size();
  box.replaceChildren(svg);
  show(leads);
}

function points() {
  return [...svg.querySelectorAll("g.point")].flatMap((g) => {
    const c = g.querySelector("circle");
    return c ? [{ g, at: g.dataset.at, x: c.cx.baseVal.value, y: c.cy.baseVal.value }] : [];
  });
}

// show marks where the leads are, in words too.
export function show(now) {
  leads = now;
  if (!svg) return;
  for (const old of svg.querySelectorAll(".lead")) old.remove();
  for (const p of points()) {
    for (const lead of ["red", "black"]) {
      p.g.classList.toggle(lead, leads[lead] === p.at);
      if (leads[lead] !== p.at) continue;
      const t = document.createElementNS(space, "text");
      t.setAttribute("class", "lead");
      t.setAttribute("x", p.x + 12);
      t.setAttribute("y", p.y - 10);
      t.textContent = lead;
      p.g.append(t);
    }
  }
}

function size() {
  if (svg) svg.style.width = (zoom === 0 ? Math.max(box.clientWidth - 4, 280) : width * zoom) + "px";
}

box.addEventListener("click", (event) => {
  if (!svg) return;
  const m = svg.getScreenCTM();
  const near = points().map((p) => ({ ...p, away: Math.hypot(m.a * p.x + m.e - event.clientX, m.d * p.y + m.f - event.clientY) }))
    .filter((p) => p.away <= finger).sort((a, b) => a.away - b.away);
  if (near.length) placed(near[0].at);
});

function to(scale) {
  const shown = svg ? svg.getBoundingClientRect().width || 1 : 1;
  const [x, y] = [(box.scrollLeft + box.clientWidth / 2) / shown, (box.scrollTop + box.clientHeight / 2) / shown];
  zoom = scale;
  size();
  const now = svg ? svg.getBoundingClientRect().width : 1;
  box.scrollTo(x * now - box.clientWidth / 2, y * now - box.clientHeight / 2);
}
const current = () => (svg ? svg.getBoundingClientRect().width / width : 1);
$("smaller").addEventListener("click", () => to(Math.max(0.15, current() / 1.3)));
$("larger").addEventListener("click", () => to(Math.min(3, current() * 1.3)));
$("whole").addEventListener("click", () => to(0));
addEventListener("resize", size);
