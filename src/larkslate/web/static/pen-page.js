// The pen page: what is typed is written at once. Without this script the form does the same with its button.

const form = document.querySelector("form.pen");
const shown = document.querySelector("#written");

/** The choices of the form as an address. */
function query() {
  const fields = form instanceof HTMLFormElement ? [...new FormData(form)] : [];
  return new URLSearchParams(fields.map(([name, value]) => [name, String(value)])).toString();
}

let waiting = 0;
let asked = 0;

async function write() {
  const wish = query();
  const mine = ++asked;
  try {
    const answer = await fetch(`/pen/drawing?${wish}`);
    const text = await answer.text();
    if (mine !== asked || !(shown instanceof HTMLElement)) return;
    if (answer.ok) {
      shown.innerHTML = text;
    } else {
      const said = document.createElement("p");
      said.className = "notice";
      said.textContent = text;
      shown.replaceChildren(said);
    }
    history.replaceState(null, "", `/pen?${wish}`);
    for (const link of document.querySelectorAll("a[data-wish]")) {
      if (link instanceof HTMLAnchorElement) link.href = `${link.dataset.wish}?${wish}`;
    }
  } catch {
    if (shown instanceof HTMLElement) shown.textContent = "Larkslate is no longer running: start it again with run.py.";
  }
}

document.addEventListener("input", (event) => {
  const field = event.target;
  const ours = field instanceof HTMLInputElement || field instanceof HTMLSelectElement || field instanceof HTMLTextAreaElement;
  if (!ours || field.form !== form) return;
  clearTimeout(waiting);
  waiting = setTimeout(() => void write(), 150);
});
form?.addEventListener("submit", (event) => {
  event.preventDefault();
  void write();
});

const outcome = document.querySelector("[data-making]");
document.querySelector("[data-copy]")?.addEventListener("click", async () => {
  if (!(outcome instanceof HTMLElement)) return;
  try {
    const answer = await fetch(`/pen.svg?${query()}`);
    const text = await answer.text();
    if (!answer.ok) throw new Error(text);
    await navigator.clipboard.writeText(text);
    outcome.textContent = "The drawing is copied as SVG.";
  } catch (error) {
    outcome.textContent = error instanceof Error && error.message ? error.message : "It could not be copied.";
  }
});
document.querySelector("[data-print]")?.addEventListener("click", () => window.print());

for (const hidden of document.querySelectorAll(".needs-script")) {
  if (hidden instanceof HTMLElement) hidden.hidden = false;
}

export {};
