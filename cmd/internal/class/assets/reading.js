// A reading as the form has it, and the line that asks for it.
import { $ } from "./dom.js";

export const quantity = () => document.querySelector("[name=quantity]:checked").value;

// show hides what a quantity does not want.
export function show() {
  const q = quantity();
  $("leads").hidden = q === "amps" || q === "scan";
  $("throughrow").hidden = q !== "amps";
  $("pinrow").hidden = q !== "scan";
  $("statewords").textContent = state().length ? "(in use)" : "";
}

const value = (id) => $(id).value.trim();

// state is what the machine is put into.
function state() {
  const out = [];
  const plugs = [...document.querySelectorAll("[name=plug]:checked")].map((e) => e.value);
  if (plugs.length) out.push("unplug", ...plugs);
  if (value("jumpa") && value("jumpb")) out.push("jumper", value("jumpa"), value("jumpb"));
  if (value("loada") && value("loadb")) {
    if ($("loadkind").value === "lamp") out.push("lamp", value("loada"), value("loadb"));
    else out.push("load", value("loada"), value("loadb"), value("loadohms") || "220");
  }
  for (const e of document.querySelectorAll("[data-set]")) if (e.value.trim() !== "") out.push("set", `${e.dataset.set}=${e.value.trim()}`);
  if (value("wiggle")) out.push("wiggle", value("wiggle"));
  if ($("watch").checked) out.push("watch");
  return out;
}

// line is the reading as one line, "" where it is not complete.
export function line() {
  const q = quantity();
  const at = { volts: value("red"), ohms: value("red"), amps: value("through"), scan: value("pin") }[q];
  if (!at) return "";
  const words = [q, at];
  if (q === "volts" || q === "ohms") words.push("to", value("black"));
  words.push("key", $("key").value, ...state());
  return words.join(" ");
}

// lacks says what is missing.
export function lacks() {
  if (line() !== "") return "";
  return { volts: "Put the red lead on a point.", ohms: "Put the red lead on a point.", amps: "Choose where the meter goes.", scan: "Choose a pin." }[quantity()];
}
