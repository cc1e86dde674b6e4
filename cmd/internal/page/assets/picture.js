// The drawing of a circuit, with test points that can be tapped, in sizes. Its keyboard equal are the lists of points.
import { $, kept } from "./dom.js";

const space = "http://www.w3.org/2000/svg";
const finger = 24; // half of what a finger needs, in pixels of the screen
const box = $("drawing");
let svg = null;
let width = 0;
let wanted = () => true;
let tapped = () => {};
let zoom = 0; // 0: the whole drawing
let name = "";

// begin says what follows a tap: tap(the points near it, the nearest first), of those that are wanted. The size is kept
// under a name; start is the one to begin with.
export function begin({ tap, points = () => true, keep = "", start = 0 }) {
  [tapped, wanted, name] = [tap, points, keep];
  zoom = keep ? kept.get(keep, start) : start;
}

// put shows a drawing in place of the one before, scrolled to where that was.
export function put(source) {
  const parsed = new DOMParser().parseFromString(source, "image/svg+xml").documentElement;
  if (parsed.localName !== "svg") return;
  const [left, top] = [box.scrollLeft, box.scrollTop];
  svg = document.importNode(parsed, true);
  width = svg.viewBox.baseVal.width;
  svg.removeAttribute("height");
  svg.removeAttribute("width");
  for (const p of points()) p.g.append(shape("circle", { class: "ring", cx: p.x, cy: p.y, r: 9.5 }));
  size();
  box.replaceChildren(svg);
  box.scrollTo(left, top);
}

// mark shows where the leads are, {red, black}; with names, in words too. It gives the place of the red one.
export function mark(leads, names = false) {
  if (!svg) return null;
  for (const old of svg.querySelectorAll(".lead")) old.remove();
  for (const g of svg.querySelectorAll("g.point")) {
    for (const lead of ["red", "black"]) g.classList.toggle(lead, leads[lead] === g.dataset.at);
  }
  for (const p of names ? points() : []) {
    for (const lead of ["red", "black"].filter((l) => leads[l] === p.at)) {
      const t = shape("text", { class: "lead", x: p.x + 12, y: p.y - 10 });
      t.textContent = lead;
      p.g.append(t);
    }
  }
  return svg.querySelector("g.red");
}

// centre scrolls to an element of the drawing.
export function centre(e) {
  const [p, b] = [e.getBoundingClientRect(), box.getBoundingClientRect()];
  box.scrollBy(p.x + p.width / 2 - b.x - b.width / 2, p.y + p.height / 2 - b.y - b.height / 2);
}

function shape(tag, attributes) {
  const e = document.createElementNS(space, tag);
  for (const [key, value] of Object.entries(attributes)) e.setAttribute(key, value);
  return e;
}

// points are the drawing's test points with their places in its units.
function points() {
  return [...svg.querySelectorAll("g.point")].flatMap((g) => {
    const c = g.querySelector("circle");
    return c && wanted(g.dataset.at) ? [{ g, at: g.dataset.at, x: c.cx.baseVal.value, y: c.cy.baseVal.value }] : [];
  });
}

function size() {
  if (svg) svg.style.width = (zoom === 0 ? Math.max(box.clientWidth - 4, 280) : width * zoom) + "px";
}

box.addEventListener("click", (event) => {
  if (!svg) return;
  const m = svg.getScreenCTM();
  const near = points().map((p) => ({ at: p.at, away: Math.hypot(m.a * p.x + m.e - event.clientX, m.d * p.y + m.f - event.clientY) }))
    .filter((p) => p.away <= 2 * finger).sort((a, b) => a.away - b.away);
  if (near.length) tapped(near, near.filter((p) => p.away <= finger));
});

// to changes the size and keeps the middle of what is seen in the middle.
function to(scale) {
  const shown = svg ? svg.getBoundingClientRect().width || 1 : 1;
  const [x, y] = [(box.scrollLeft + box.clientWidth / 2) / shown, (box.scrollTop + box.clientHeight / 2) / shown];
  zoom = scale;
  if (name) kept.set(name, zoom);
  size();
  const now = svg ? svg.getBoundingClientRect().width : 1;
  box.scrollTo(x * now - box.clientWidth / 2, y * now - box.clientHeight / 2);
}
const current = () => (svg ? svg.getBoundingClientRect().width / width : 1);
$("smaller").addEventListener("click", () => to(Math.max(0.15, current() / 1.3)));
$("larger").addEventListener("click", () => to(Math.min(3, current() * 1.3)));
$("whole").addEventListener("click", () => to(0));
addEventListener("resize", size);
