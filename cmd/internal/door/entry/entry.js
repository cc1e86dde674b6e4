// Takes the code from the address's fragment, which never leaves the browser in an address, or from the form, and
// exchanges it for a cookie that no script can read.
const said = document.getElementById("said");

// The fragment goes at once, so that the code stays in no history and no shared screen.
const carried = new URLSearchParams(location.hash.slice(1)).get("in");
if (carried) {
  history.replaceState(null, "", location.pathname + location.search);
  enter(carried);
}

// A code that is scanned while this page is open changes the fragment only.
addEventListener("hashchange", () => location.reload());

const form = document.getElementById("form");
form.addEventListener("submit", (event) => {
  event.preventDefault();
  enter(document.getElementById("code").value);
});
form.dataset.ready = "yes";

async function enter(code) {
  said.textContent = "Asking…";
  try {
    const answer = await fetch("/door/in", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ code }),
    });
    if (answer.ok) {
      location.reload();
      return;
    }
    const words = (await answer.json()).error;
    said.textContent = words.charAt(0).toUpperCase() + words.slice(1) + ".";
  } catch {
    said.textContent = "No answer. Is this device on the same network as the computer, and is the program running?";
  }
}
