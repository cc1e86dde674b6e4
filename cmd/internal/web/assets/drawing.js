// The drawing, with test points that can be tapped. Its keyboard equal is the list of points.
import { $, fill, h, kept, open } from "./dom.js";
import { text } from "./net.js";
import { about } from "./store.js";
import { pointAt } from "./points.js";
import * as sheet from "./sheet.js";

const box = $("drawing");
const space = "http://www.w3.org/2000/svg";
const finger = 24; // half of what a finger needs, in pixels of the screen
let svg = null;
let width = 0;
const wide = matchMedia("(min-width: 60rem)").matches;
let zoom = kept.get("ohmtrail-zoom", wide ? 0.7 : 1); // 0: the whole drawing
let wanted = null; // the next reading
let shownFor = null; // the one whose place was scrolled into view

// show puts the drawing of a version into the page, where it is still wanted when it comes.
export async function show(version, still) {
  const source = await text(about("drawing", { version }));
  if (!still()) return;
  const parsed = new DOMParser().parseFromString(source, "image/svg+xml").documentElement;
  if (parsed.localName !== "svg") return;
  const [left, top] = [box.scrollLeft, box.scrollTop];
  svg = document.importNode(parsed, true);
  width = svg.viewBox.baseVal.width;
  svg.removeAttribute("height");
  svg.removeAttribute("width");
  for (const p of points()) ring(p);
  size();
  box.replaceChildren(svg);
  box.scrollTo(left, top);
  mark(wanted);
}

// points are the drawing's test points with their places in its units.
function points() {
  return [...svg.querySelectorAll("g.point")].flatMap((g) => {
    const c = g.querySelector("circle");
    return c && pointAt(g.dataset.at) ? [{ g, at: g.dataset.at, x: c.cx.baseVal.value, y: c.cy.baseVal.value }] : [];
  });
}

function ring(p) {
  const c = document.createElementNS(space, "circle");
  c.setAttribute("class", "ring");
  for (const [name, value] of [["cx", p.x], ["cy", p.y], ["r", 9.5]]) c.setAttribute(name, value);
  p.g.append(c);
}

function size() {
  if (!svg) return;
  const px = zoom === 0 ? Math.max(box.clientWidth - 4, 300) : width * zoom;
  svg.style.width = px + "px";
}

// mark shows where the next reading's leads go.
export function mark(reading) {
  wanted = reading;
  if (!svg) return;
  for (const g of svg.querySelectorAll("g.point")) {
    g.classList.toggle("red", !!reading && g.dataset.at === reading.at);
    g.classList.toggle("black", !!reading && g.dataset.at === reading.to);
  }
  const red = svg.querySelector("g.red");
  if (red && shownFor !== reading) { // once for each next reading: where its user has scrolled to since is left alone
    shownFor = reading;
    const [p, b] = [red.getBoundingClientRect(), box.getBoundingClientRect()];
    box.scrollBy(p.x + p.width / 2 - b.x - b.width / 2, p.y + p.height / 2 - b.y - b.height / 2);
  }
}

// near are the points under a finger, the nearest first.
function near(event) {
  const m = svg.getScreenCTM();
  return points().map((p) => ({ ...p, away: Math.hypot(m.a * p.x + m.e - event.clientX, m.d * p.y + m.f - event.clientY) }))
    .filter((p) => p.away <= 2 * finger).sort((a, b) => a.away - b.away);
}

box.addEventListener("click", (event) => {
  if (!svg) return;
  const found = near(event);
  const under = found.filter((p) => p.away <= finger);
  if (found.length === 0) return;
  if (under.length <= 1 || under[1].away > 3 * under[0].away + 4) {
    sheet.begin({ at: found[0].at });
    return;
  }
  fill($("choices"), under.slice(0, 6).map((p) => {
    const known = pointAt(p.at);
    return h("button", { onclick: () => { $("choosing").close(); sheet.begin({ at: p.at }); } }, h("strong", {}, p.at), h("span", {}, known.words));
  }));
  open($("choosing"));
});

// to changes the size and keeps the middle of what is seen in the middle.
function to(scale) {
  const shown = svg ? svg.getBoundingClientRect().width || 1 : 1;
  const [x, y] = [(box.scrollLeft + box.clientWidth / 2) / shown, (box.scrollTop + box.clientHeight / 2) / shown];
  zoom = scale;
  kept.set("ohmtrail-zoom", zoom);
  size();
  const now = svg ? svg.getBoundingClientRect().width : 1;
  box.scrollTo(x * now - box.clientWidth / 2, y * now - box.clientHeight / 2);
}
const current = () => (svg ? svg.getBoundingClientRect().width / width : 1);
$("smaller").addEventListener("click", () => to(Math.max(0.15, current() / 1.3)));
$("larger").addEventListener("click", () => to(Math.min(3, current() * 1.3)));
$("whole").addEventListener("click", () => to(0));
addEventListener("resize", size);
