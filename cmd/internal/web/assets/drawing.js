// The job's drawing: a tap on a test point begins a reading there, and the next reading's leads are shown.
import { $, fill, h, open } from "./dom.js";
import { text } from "./net.js";
import { about, tell } from "./store.js";
import { pointAt } from "./points.js";
import * as picture from "./picture.js";

let wanted = null; // the next reading
let shownFor = null; // the one whose place was scrolled into view

const measure = (at) => tell("measure", { at });

picture.begin({
  keep: "ohmtrail-zoom",
  start: matchMedia("(min-width: 60rem)").matches ? 0.7 : 1,
  points: pointAt,
  tap: (near, under) => {
    if (under.length <= 1 || under[1].away > 3 * under[0].away + 4) return measure(near[0].at);
    fill($("choices"), under.slice(0, 6).map((p) =>
      h("button", { onclick: () => { $("choosing").close(); measure(p.at); } }, h("strong", {}, p.at), h("span", {}, pointAt(p.at).words))));
    open($("choosing"));
  },
});

// show puts the drawing of a version into the page, where it is still wanted when it comes.
export async function show(version, still) {
  const source = await text(about("drawing", { version }));
  if (!still()) return;
  picture.put(source);
  mark(wanted);
}

// mark shows where the next reading's leads go.
export function mark(reading) {
  wanted = reading;
  const red = picture.mark(reading ? { red: reading.at, black: reading.to } : {});
  if (red && shownFor !== reading) { // once for each next reading: where its user has scrolled to since is left alone
    shownFor = reading;
    picture.centre(red);
  }
}
