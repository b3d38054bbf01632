// Each size is entered as it is typed: Enter sends its row and goes on to the next. A row that is
// questioned keeps what was typed, with the question beside it; nothing is waited for.

import { enter, forget } from "./waiting.js";
import { freshKey } from "./page.js";

const form = document.querySelector("form.sizes");
const lines = Array.from(form?.querySelectorAll(".line") ?? []);
const sizeOf = (line) => line.querySelector('[name^="size."]');
const keyOf = (line) => line.querySelector('[name^="key."]');
const notesOf = (line) => line.querySelector(".notes");

function bodyOf(line) {
  const body = new URLSearchParams();
  for (const field of form.querySelectorAll(".common input, .common select")) {
    if (field.type !== "radio" || field.checked) body.append(field.name, field.value);
  }
  for (const field of line.querySelectorAll("input")) {
    if (field.type !== "checkbox" || field.checked) body.append(field.name, field.value);
  }
  return body;
}

function say(line, words, wrong) {
  const told = document.createElement("p");
  told.className = wrong ? "wrong" : "entered";
  told.textContent = words;
  told.setAttribute("role", wrong ? "alert" : "status");
  notesOf(line).replaceChildren(told);
}

async function take(line) {
  const size = sizeOf(line);
  const typed = size.value.trim();
  if (!typed) return;
  const id = keyOf(line).value;
  const body = bodyOf(line);
  // What is typed next in this row is a size of its own.
  keyOf(line).value = freshKey();
  size.value = "";
  form.dispatchEvent(new Event("input")); // what is kept for sending is no draft any more
  say(line, `… ${typed}`);
  settle(line, id, typed, await enter(id, form.getAttribute("action"), body, `${line.dataset.words}: ${typed}`));
}

function settle(line, id, typed, found) {
  const size = sizeOf(line);
  if (found.state === "refused") {
    // It goes back to its row, where somebody is looking; nothing was entered under its id.
    forget(id);
    if (!size.value.trim()) size.value = typed;
    const came = found.page.querySelector(`[name="${CSS.escape(size.name)}"]`)?.closest(".line");
    const common = Array.from(found.page.querySelectorAll(".common .wrong"), (each) => each.textContent).join(" ");
    if (came && !common) notesOf(line).replaceChildren(...notesOf(came).childNodes);
    else say(line, common || found.why, true);
    line.classList.add("is-open");
    size.setAttribute("aria-invalid", "true");
    return;
  }
  line.classList.remove("is-open");
  size.removeAttribute("aria-invalid");
  const waits = found.state === "waiting";
  say(line, waits ? `↥ ${typed} waits to be sent` : `✓ entered ${typed}`);
  if (waits) line.dataset.waits = id;
  else delete line.dataset.waits;
}

document.addEventListener("sent", ({ detail }) => {
  const line = lines.find((each) => each.dataset.waits === detail.id);
  if (!line || detail.state === "waiting") return;
  delete line.dataset.waits;
  if (detail.state === "done") say(line, "✓ entered");
  else say(line, "Not entered: see above.", true);
});

form?.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches(".line input")) return;
  event.preventDefault();
  const line = event.target.closest(".line");
  const later = lines.slice(lines.indexOf(line) + 1);
  take(line);
  // A calliper does not wait: the next row is there at once.
  const next = later.find((each) => !sizeOf(each).value.trim()) ?? lines[0];
  sizeOf(next).focus();
});

form?.addEventListener("submit", (event) => {
  event.preventDefault();
  for (const line of lines) take(line);
});

form?.addEventListener("change", (event) => {
  if (!event.target.matches('[name^="sure."]') || !event.target.checked) return;
  take(event.target.closest(".line"));
});
