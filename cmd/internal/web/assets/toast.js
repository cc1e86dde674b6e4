// A word for a while, with something that can be done about it.
import { $, say } from "./dom.js";

let toasting = 0;

export function toast(words, label, action) {
  clearTimeout(toasting);
  $("toast").hidden = false;
  $("toast-words").textContent = words;
  $("toast-do").hidden = !action;
  $("toast-do").textContent = label || "";
  $("toast-do").onclick = () => { untoast(); action(); };
  toasting = setTimeout(untoast, 30000);
  say(words);
}

function untoast() {
  clearTimeout(toasting);
  $("toast").hidden = true;
}
$("toast-close").addEventListener("click", untoast);
