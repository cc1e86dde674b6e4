// Small means to build a page. No text of a file or a person is ever read as HTML.

// h makes an element: h("p", { class: "soft", onclick: f }, "text", child, …). A property that is null or false is left
// away; true stands for an attribute without a value.
export function h(tag, props, ...children) {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(props || {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) e.addEventListener(name.slice(2), value);
    else if (name === "value") e.value = value;
    else e.setAttribute(name, value === true ? "" : value);
  }
  e.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return e;
}

export const $ = (id) => document.getElementById(id);

// fill replaces what an element holds.
export function fill(e, ...children) {
  e.replaceChildren(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
}

// say tells a screen reader what has just happened. What is said twice is said anew.
export function say(words) {
  const e = $("said");
  e.textContent = "";
  requestAnimationFrame(() => { e.textContent = words; });
}

// bar is a share from 0 to 1 as a length, or several beside each other; the numbers stand beside it in words.
export function bar(...shares) {
  return h("span", { class: "bar", "aria-hidden": "true" }, shares.map((share) => {
    const e = h("span", {});
    e.style.width = Math.max(0, Math.min(1, share)) * 100 + "%";
    return e;
  }));
}

// sentence gives words a capital and a full stop.
export function sentence(words) {
  const s = words.trim();
  if (s === "") return s;
  return s[0].toUpperCase() + s.slice(1) + (/[.?!…]$/.test(s) ? "" : ".");
}

// newID names one thing that is written, so that it is written once. crypto.randomUUID needs a secure page, which one
// on the local network is not.
export function newID() {
  return Array.from(crypto.getRandomValues(new Uint8Array(12)), (b) => b.toString(16).padStart(2, "0")).join("");
}

// kept is a value that this browser keeps under a name. A browser that keeps nothing (a private window that is full)
// keeps it for as long as the page is open.
const memory = new Map();
export const kept = {
  get(name, otherwise) {
    try {
      const text = localStorage.getItem(name);
      if (text !== null) return JSON.parse(text);
    } catch { /* below */ }
    return memory.has(name) ? memory.get(name) : otherwise;
  },
  set(name, value) {
    memory.set(name, value);
    try {
      localStorage.setItem(name, JSON.stringify(value));
      return true;
    } catch {
      return false;
    }
  },
};

// open shows a dialog; it closes by its buttons with data-close, by Escape, and by a tap beside it.
export function open(dialog) {
  if (!dialog.dataset.ready) {
    dialog.dataset.ready = "yes";
    dialog.addEventListener("click", (event) => {
      if (event.target === dialog || event.target.closest("[data-close]")) dialog.close();
    });
  }
  if (!dialog.open) dialog.showModal();
}

// A code that was scanned again while the page was in: it goes out of the address bar.
if (new URLSearchParams(location.hash.slice(1)).has("in")) history.replaceState(null, "", location.pathname + location.search);
