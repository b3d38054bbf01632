// Entries outlive a lost connection. Each is kept in this browser first and sent then; only when
// the server has said that it holds it is it let go. Each has an id of its own, so that one sent
// twice is entered once. They are sent in the order in which they were typed. What is refused stays
// here with the reason until somebody mends it or throws it away.

import { draftName } from "./drafts.js";
import { filesOf, forgetFiles, keepFiles, sweep } from "./kept_files.js";
import { freshKey } from "./page.js";
import { connection, send } from "./sending.js";
import { TYPED, told, tooLarge, wordsOf } from "./sent_forms.js";

const WAITING = "waiting ";
const AGAIN = 3000; // ms between tries
const NO_ROOM = "This browser has no room left to keep it, and the connection is gone: leave it here and send it again when the connection is back.";
const kept = localStorage;
let sending = null;
let last = 0;

function names() {
  return Object.keys(kept).filter((name) => name.startsWith(WAITING)).sort();
}

function entry(name) {
  return JSON.parse(kept.getItem(name)); // null where another tab has sent it meanwhile
}

function nameOf(id) {
  return names().find((name) => name.endsWith(` ${id}`));
}

// Keep an entry under its id; one that waits under the same id is replaced, in its place.
function keep(each) {
  last = Math.max(last + 1, Date.now());
  const name = nameOf(each.id) ?? `${WAITING}${String(last).padStart(15, "0")} ${each.id}`;
  kept.setItem(name, JSON.stringify({ ...each, at: Date.now() }));
}

// One that is kept: let go when the server has it, marked when it has to wait or was refused.
async function sendKept(name, each) {
  let files = [];
  try {
    if (each.files) files = await filesOf(each.id);
  } catch {
    return { state: "waiting", why: "The photograph cannot be read from this browser: close other pages of it." };
  }
  const found = await send(each, files);
  if (found.state === "done" && entry(name)?.at > each.at) {
    // Typed over while it was under way: what was entered is what was sent.
    kept.setItem(name, JSON.stringify({ ...entry(name), why: "it was entered already as it stood before: correct it in the book." }));
  } else if (found.state === "done") {
    kept.removeItem(name);
    if (each.draft) kept.removeItem(each.draft);
    if (each.files) await forgetFiles(each.id);
    if (each.waited) arrived.push(each.words);
  } else if (entry(name)) {
    // It may have been replaced while it was under way: that one is not touched.
    const now = entry(name);
    if (now.at === each.at && found.state === "refused") kept.setItem(name, JSON.stringify({ ...now, why: found.why }));
  }
  return found;
}

// One after the other, never two at a time; stops where the connection is gone.
export function sendAll() {
  sending ??= (async () => {
    const told = new Map();
    for (let name = next(told); name; name = next(told)) {
      const each = entry(name);
      if (!each) continue;
      const found = await sendKept(name, each);
      told.set(each.id, found);
      document.dispatchEvent(new CustomEvent("sent", { detail: { id: each.id, ...found } }));
      show(found.why && found.state === "waiting" ? found.why : "");
      if (found.state === "waiting") {
        for (const later of names()) kept.setItem(later, JSON.stringify({ ...entry(later), waited: true }));
        break;
      }
    }
    return told;
  })().finally(() => { sending = null; });
  return sending;
}

function next(told) {
  return names().find((name) => {
    const each = entry(name);
    return each && !each.why && !told.has(each.id);
  });
}

// Keep and send, and say what became of it.
export async function enter(id, address, body, words, { files = [], draft = "" } = {}) {
  const each = { id, address, body: String(body), words, draft, files: files.length > 0 };
  try {
    if (each.files) await keepFiles(id, files);
    keep(each);
  } catch {
    const found = await send(each, files);
    return found.state === "waiting" ? { ...found, state: "refused", unkept: true, why: NO_ROOM, page: document.implementation.createHTMLDocument() } : found;
  }
  show();
  let told = await sendAll();
  if (!told.has(id) && nameOf(id)) told = await sendAll(); // it came while others were being sent
  return told.get(id) ?? { state: "waiting" };
}

export function forget(id) {
  const name = nameOf(id);
  if (name) kept.removeItem(name);
  forgetFiles(id);
  show();
}

function shown(each) {
  const row = document.createElement("li");
  const words = document.createElement("p");
  words.textContent = `${each.words} (${new Date(each.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false })})`;
  row.append(words);
  if (!each.why) return row;
  const why = document.createElement("p");
  why.className = "wrong";
  why.textContent = `Not entered: ${each.why}`;
  row.append(why);
  for (const [label, deed] of [
    ["Mend it", () => mend(each)],
    ["Throw it away", (button) => {
      if (button.dataset.asked) forget(each.id);
      else { button.dataset.asked = "yes"; button.textContent = "Really? It is in no book"; }
    }],
  ]) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "quiet";
    button.textContent = label;
    button.addEventListener("click", () => deed(button));
    row.append(button, " ");
  }
  return row;
}

// Send it as a form: the page comes that says what is wrong, with all that was typed.
async function mend(each) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = each.address;
  const put = (name, type) => {
    const input = document.createElement("input");
    input.type = type;
    input.name = name;
    input.hidden = true;
    form.append(input);
    return input;
  };
  for (const [name, value] of new URLSearchParams(each.body)) put(name, "hidden").value = value;
  if (each.files) {
    form.enctype = "multipart/form-data";
    for (const [name, file] of await filesOf(each.id)) {
      const held = new DataTransfer();
      held.items.add(file);
      put(name, "file").files = held.files;
    }
  }
  document.body.append(form);
  form.submit();
}

const arrived = []; // what had to wait and is in the book now, in words

function place(id, label) {
  const there = document.getElementById(id);
  if (there) return there;
  const made = document.createElement("section");
  made.id = id;
  made.setAttribute("aria-label", label);
  document.querySelector("main")?.prepend(made);
  return made;
}

function show(why = "") {
  const there = names().map(entry).filter(Boolean);
  const refused = there.filter((each) => each.why).length;
  const waiting = there.length - refused;
  if (arrived.length && !waiting) {
    const line = told(`✓ Sent, and in the book now: ${arrived.join("; ")}.`);
    line.setAttribute("role", "status");
    place("arrived", "Sent").replaceChildren(line);
  }
  if (!there.length && !connection.gone) {
    document.getElementById("waiting")?.remove();
    return;
  }
  const head = told([
    waiting ? `↥ ${waiting} waiting to be sent.` : "",
    refused ? `✕ ${refused} not entered.` : "",
    waiting || refused ? "" : "✕ The connection is gone.",
    why,
  ].filter(Boolean).join(" "));
  head.className = "what";
  head.setAttribute("role", "status");
  const lines = [head];
  if (waiting) lines.push(told("Kept in this browser; sent by itself, in this order, when the connection is back."));
  if (connection.gone && !waiting) lines.push(told("What you enter meanwhile is kept in this browser, and sent when the connection is back."));
  if (connection.gone) lines.push(told("Leave this page open, or open it again once the workshop's network is there: no other page can be loaded until then."));
  const list = document.createElement("ol");
  list.replaceChildren(...there.map(shown));
  place("waiting", "Waiting to be sent").replaceChildren(...lines, ...(there.length ? [list] : []));
}

// On to what came of it; the next page says what was done.
function go(found) {
  document.cookie = `done=${encodeURIComponent(found.done)}; path=/; max-age=20; samesite=strict`;
  location.assign(found.next);
}

// Ready for the next one of its kind, under an id of its own.
function clear(form) {
  form.querySelector("input[name=key]").value = freshKey();
  const told = form.querySelectorAll("[data-told]");
  for (const field of told.length ? told : form.querySelectorAll(TYPED)) if (field.name !== "when") field.value = "";
  for (const field of form.querySelectorAll("input[type=file]")) field.value = "";
  form.querySelector("[data-told], input[type=file], textarea")?.focus();
  form.dispatchEvent(new Event("input"));
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("form[data-keep]") || event.defaultPrevented) return;
  event.preventDefault();
  if (tooLarge(form)) return;
  const body = new URLSearchParams();
  const files = [];
  for (const [name, value] of new FormData(form, event.submitter)) {
    if (typeof value === "string") body.append(name, value);
    else if (value.size) files.push([name, value]);
  }
  const id = body.get("key");
  const address = form.getAttribute("action");
  const buttons = form.querySelectorAll("button:not([type=button])");
  for (const button of buttons) button.disabled = true;
  const draft = form.dataset.after === "clear" ? "" : draftName(form);
  const found = await enter(id, address, body, wordsOf(form, files), { files, draft });
  for (const button of buttons) button.disabled = false;
  if (found.state === "done") {
    kept.removeItem(draftName(form));
    go(found);
  } else if (found.unkept) {
    show(found.why);
  } else if (found.state === "refused") {
    // Somebody is here to mend it at once: the page that comes has all that was typed.
    const each = { id, address, body: String(body), files: files.length > 0 };
    await mend(each);
    forget(id);
  } else if (form.dataset.after === "clear") {
    clear(form);
  } else {
    form.dataset.waits = id;
  }
});

// What was sent after all while its form still stands here: go on to what came of it.
document.addEventListener("sent", (event) => {
  const { id, state } = event.detail;
  const form = document.querySelector(`form[data-waits="${CSS.escape(id)}"]`);
  if (form && state === "done") go(event.detail);
});

// Leaving now leads to a page that cannot be loaded.
window.addEventListener("beforeunload", (event) => {
  if (connection.gone && names().length) event.preventDefault();
});

show();
if (names().length) sendAll();
sweep((id) => Boolean(nameOf(id)));
window.addEventListener("online", () => { connection.gone = false; show(); sendAll(); });
window.addEventListener("offline", () => { connection.gone = true; show(); });
window.addEventListener("storage", () => show());
setInterval(() => { if (next(new Map())) sendAll(); }, AGAIN);
