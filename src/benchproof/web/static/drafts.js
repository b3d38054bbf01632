// What was typed and not yet sent outlives its page: it is held in this browser under the name of
// its form, offered when the form is opened again, and let go when it is in the book or given up.

import { addRow } from "./page.js";

const DRAFTS = "draft ";
const SENT = "sent draft"; // of this tab, until a page says what was done
const LONGEST = 14 * 24 * 3600 * 1000; // ms
const store = localStorage;

function fields(form) {
  return Array.from(form.elements).filter(
    (field) => field.name && !["hidden", "submit", "file"].includes(field.type),
  );
}

function draftOf(form) {
  const kept = {};
  for (const field of fields(form)) {
    if (field.type === "radio" || field.type === "checkbox") {
      if (field.checked) kept[field.name] = field.value;
    } else kept[field.name] = field.value;
  }
  return kept;
}

// Where one form takes one reading after the other, the rest of it stands there anyhow.
function isEmpty(form) {
  const told = form.querySelectorAll(".line input, [data-told]");
  return form.matches(".sizes, [data-after=clear]") && told.length > 0 && Array.from(told).every((field) => field.type === "checkbox" || field.type === "hidden" || !field.value.trim());
}

function hold(form, name) {
  try {
    if (isEmpty(form)) store.removeItem(name);
    else store.setItem(name, JSON.stringify({ kept: draftOf(form), at: Date.now() }));
  } catch {
    // No room: it is still in the form.
  }
}

// As many rows as were typed, the outer ones first: each brings its inner ones along.
function addRows(form, kept) {
  for (let rows = wanting(form, kept); rows; rows = wanting(form, kept)) addRow(rows);
}

function wanting(form, kept) {
  return Array.from(form.querySelectorAll(".rows[data-mark]")).find((rows) => {
    const name = rows.querySelector(":scope > template").content.querySelector(`[name*="${rows.dataset.mark}"]`)?.name;
    if (!name) return false;
    const start = name.slice(0, name.indexOf(rows.dataset.mark));
    const there = rows.querySelectorAll(":scope > .row").length;
    return Object.keys(kept).some((each) => each.startsWith(start) && Number.parseInt(each.slice(start.length), 10) >= there && kept[each].trim());
  });
}

function bringBack(form, kept) {
  addRows(form, kept);
  for (const field of fields(form)) {
    if (field.type === "radio" || field.type === "checkbox") field.checked = kept[field.name] === field.value;
    else if (field.name in kept) field.value = kept[field.name];
    if (field.value && field.closest("details:not([open]) .row")) field.closest("details").open = true;
  }
  form.dispatchEvent(new Event("input", { bubbles: true }));
}

function offer(form, name, kept) {
  const place = document.createElement("div");
  place.className = "offer";
  place.setAttribute("role", "status");
  place.innerHTML = "<p>You typed something here before that was not kept.</p>";
  for (const [words, deed] of [
    ["Bring it back", () => bringBack(form, kept)],
    ["Forget it", () => store.removeItem(name)],
  ]) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "quiet";
    button.textContent = words;
    button.addEventListener("click", () => { deed(); place.remove(); });
    place.append(button, " ");
  }
  form.prepend(place);
}

export function draftName(form) {
  return form.dataset.draft ? DRAFTS + form.dataset.draft : "";
}

// What waits to be sent is no draft any more, though it is in no book yet.
function waits(name) {
  return Object.keys(store).some((each) => each.startsWith("waiting ") && JSON.parse(store[each]).draft === name);
}

for (const name of Object.keys(store)) {
  if (name.startsWith(DRAFTS) && !(Date.now() - JSON.parse(store[name]).at < LONGEST)) store.removeItem(name);
}
if (document.querySelector(".done")) {
  store.removeItem(sessionStorage.getItem(SENT) ?? "");
  sessionStorage.removeItem(SENT);
}

// After every other script has dressed its form, so that rows are added as it wants them.
addEventListener("DOMContentLoaded", () => {
  for (const form of document.querySelectorAll("form[data-draft]")) {
    const name = draftName(form);
    const held = store.getItem(name);
    const before = JSON.stringify(draftOf(form));
    if (held && JSON.stringify(JSON.parse(held).kept) !== before && !waits(name) && !form.querySelector(".wrong, .stale")) {
      offer(form, name, JSON.parse(held).kept);
    }
    form.addEventListener("input", () => hold(form, name));
    form.addEventListener("submit", () => {
      if (form.dataset.keep) return; // kept for sending, and let go with that
      hold(form, name);
      sessionStorage.setItem(SENT, name);
    });
  }
});
