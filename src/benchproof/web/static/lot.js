// A lot: a number and Enter, and the next piece is there; the run chart follows after each.

import { enter, forget } from "./waiting.js";
import { freshKey } from "./page.js";

const form = document.querySelector("form[data-after=clear]");
const place = document.querySelector("[data-so-far]");
const said = form.querySelector(".kept");
const field = (name) => form.elements.namedItem(name);

async function follow() {
  try {
    const came = await fetch(place.dataset.soFar);
    if (!came.ok) return;
    const fresh = new DOMParser().parseFromString(await came.text(), "text/html").getElementById("so-far");
    const open = place.querySelector("details.figures")?.open;
    place.replaceChildren(fresh);
    if (open) place.querySelector("details.figures").open = true;
    document.dispatchEvent(new Event("answered"));
  } catch {
    // It is shown when the connection is back.
  }
}

function say(words) {
  said.hidden = false;
  said.textContent = words;
}

function on(number) {
  field("number").value = String(Number(number) + 1);
  field("size").value = "";
  for (const name of ["fresh", "again", "sure"]) if (field(name)) field(name).checked = false;
  field("sure")?.closest(".stale").remove();
  field("size").focus();
}

form.addEventListener("submit", async (event) => {
  // Before the general way to send a form, which would load the page anew for each piece.
  event.preventDefault();
  event.stopPropagation();
  const number = field("number").value.trim();
  const size = field("size").value.trim();
  if (!size) return;
  const body = new URLSearchParams(new FormData(form));
  const id = body.get("key");
  field("key").value = freshKey();
  const words = `${form.dataset.keep}: piece ${number}, ${size}`;
  on(number);
  form.dispatchEvent(new Event("input")); // what is kept for sending is no draft any more
  say(`… piece ${number}: ${size}`);
  const found = await enter(id, form.getAttribute("action"), body, words);
  if (found.state === "done") {
    say(`✓ ${found.done}`);
    await follow();
  } else if (found.state === "waiting") {
    say(`↥ Piece ${number}: ${size} waits to be sent.`);
  } else if (found.unkept) {
    say(found.why);
    field("number").value = number;
    field("size").value = size;
  } else {
    ask(id, number, size, body, found.page);
  }
});

// Questioned: what was typed comes back with the question. Where the next one is being typed
// already, it stays in the list of what was not entered, with its reason.
function ask(id, number, size, body, page) {
  said.hidden = true;
  if (field("size").value.trim()) return;
  forget(id);
  const asked = page.querySelector("form[data-after=clear]");
  form.querySelector(".stale")?.remove();
  const question = asked?.querySelector(".stale");
  field("number").value = number;
  field("size").value = size;
  for (const name of ["fresh", "again"]) field(name).checked = body.has(name);
  if (question) form.prepend(question);
  for (const notes of asked?.querySelectorAll(".notes") ?? []) {
    document.getElementById(notes.id)?.replaceChildren(...notes.childNodes);
  }
  (question?.querySelector("input") ?? field("size")).focus();
}

form.addEventListener("input", () => {
  for (const notes of form.querySelectorAll(".notes .wrong")) notes.remove();
});
document.addEventListener("sent", ({ detail }) => {
  if (detail.state !== "done") return;
  say(`✓ ${detail.done}`);
  follow();
});
