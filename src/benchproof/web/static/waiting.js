// Readings outlive a lost connection. An entry is kept in this browser first and sent then; only
// when the server has said that it holds it is it let go. Each has an id of its own, so that one
// sent twice is entered once. They are sent in the order in which they were typed. What is refused
// stays here with the reason until somebody mends it or throws it away.

import { freshKey } from "./page.js";

const WAITING = "waiting ";
const AGAIN = 3000; // ms between tries
const PATIENCE = 15000; // ms for one answer
const kept = localStorage;
let sending = null;
let last = 0;

function names() {
  return Object.keys(kept).filter((name) => name.startsWith(WAITING)).sort();
}

function entry(name) {
  return JSON.parse(kept.getItem(name));
}

function nameOf(id) {
  return names().find((name) => name.endsWith(` ${id}`));
}

// Keep an entry under its id; one that waits under the same id is replaced, in its place.
export function keep(id, address, body, words) {
  last = Math.max(last + 1, Date.now());
  const name = nameOf(id) ?? `${WAITING}${String(last).padStart(15, "0")} ${id}`;
  kept.setItem(name, JSON.stringify({ id, address, body: String(body), words, at: Date.now() }));
  return name;
}

// Send one: "done" with where to go, "refused" with the page that says why, or "waiting".
async function send(name) {
  const each = entry(name);
  const ending = new AbortController();
  const timer = setTimeout(() => ending.abort(), PATIENCE);
  try {
    const came = await fetch(each.address, {
      method: "POST",
      body: new URLSearchParams(each.body),
      headers: { "Sent-By": "script" },
      signal: ending.signal,
    });
    const text = await came.text();
    if (came.ok && came.headers.get("content-type")?.startsWith("application/json")) {
      kept.removeItem(name);
      return { state: "done", ...JSON.parse(text) };
    }
    // A page that breaks on an entry breaks on it again: it must not hold up those behind it.
    if (came.status >= 400 && ![403, 408, 421, 502, 503, 504].includes(came.status)) {
      const page = new DOMParser().parseFromString(text, "text/html");
      return { state: "refused", page, why: reasons(page.cloneNode(true)) || text.slice(0, 200) };
    }
    const why = came.redirected || came.status === 403 ? "This browser is not paired any more: pair it again." : "";
    return { state: "waiting", why };
  } catch {
    return { state: "waiting", why: "" };
  } finally {
    clearTimeout(timer);
  }
}

function reasons(page) {
  for (const label of page.querySelectorAll("[role=alert] label")) label.remove();
  const found = page.querySelectorAll("main [role=alert], main .wrong");
  return Array.from(new Set(Array.from(found, (each) => each.textContent.trim().replace(/\s+/g, " ")))).join(" ");
}

// One after the other, never two at a time; stops where the connection is gone.
export function sendAll() {
  sending ??= (async () => {
    const told = new Map();
    for (let name = next(told); name; name = next(told)) {
      const id = entry(name).id;
      const found = await send(name);
      told.set(id, found);
      if (found.state === "refused") {
        const each = kept.getItem(name);
        if (each) kept.setItem(name, JSON.stringify({ ...JSON.parse(each), why: found.why }));
      }
      document.dispatchEvent(new CustomEvent("sent", { detail: { id, ...found } }));
      show(found.why && found.state === "waiting" ? found.why : "");
      if (found.state === "waiting") break;
    }
    return told;
  })().finally(() => { sending = null; });
  return sending;
}

function next(told) {
  return names().find((name) => !entry(name).why && !told.has(entry(name).id));
}

// Keep and send, and say what became of it.
export async function enter(id, address, body, words) {
  keep(id, address, body, words);
  show();
  let told = await sendAll();
  if (!told.has(id) && nameOf(id)) told = await sendAll(); // it came while others were being sent
  return told.get(id) ?? { state: "waiting" };
}

export function forget(id) {
  const name = nameOf(id);
  if (name) kept.removeItem(name);
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
function mend(each) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = each.address;
  for (const [name, value] of new URLSearchParams(each.body)) {
    const input = document.createElement("input");
    input.type = "hidden";
    input.name = name;
    input.value = value;
    form.append(input);
  }
  document.body.append(form);
  form.submit();
}

function show(why = "") {
  const there = names().map(entry);
  let place = document.getElementById("waiting");
  if (!there.length) {
    place?.remove();
    return;
  }
  if (!place) {
    place = document.createElement("section");
    place.id = "waiting";
    place.setAttribute("aria-label", "Waiting to be sent");
    document.querySelector("main")?.prepend(place);
  }
  const refused = there.filter((each) => each.why).length;
  const waiting = there.length - refused;
  const head = document.createElement("p");
  head.className = "what";
  head.setAttribute("role", "status");
  head.textContent = [
    waiting ? `↥ ${waiting} waiting to be sent. Kept in this browser, and sent by itself when the connection is back.` : "",
    refused ? `✕ ${refused} not entered.` : "",
    why,
  ].filter(Boolean).join(" ");
  const list = document.createElement("ol");
  list.replaceChildren(...there.map(shown));
  place.replaceChildren(head, list);
}

// On to what came of it; the next page says what was done.
function go(found) {
  document.cookie = `done=${encodeURIComponent(found.done)}; path=/; max-age=20; samesite=strict`;
  location.assign(found.next);
}

function wordsOf(form) {
  const told = Array.from(form.querySelectorAll("[data-told]"), (field) => field.value.trim());
  const measured = told.length ? told : Array.from(form.querySelectorAll(".big input, [data-must]"), (field) => field.value.trim());
  return `${form.dataset.keep}: ${measured.filter(Boolean).join(", ").slice(0, 120)}`;
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("form[data-keep]") || event.defaultPrevented) return;
  event.preventDefault();
  const body = new URLSearchParams(new FormData(form, event.submitter));
  const id = body.get("key");
  const buttons = form.querySelectorAll("button:not([type=button])");
  for (const button of buttons) button.disabled = true;
  const found = await enter(id, form.getAttribute("action"), body, wordsOf(form));
  for (const button of buttons) button.disabled = false;
  if (found.state === "done") {
    go(found);
  } else if (found.state === "refused") {
    // Somebody is here to mend it at once: the page that comes has all that was typed.
    forget(id);
    mend({ address: form.getAttribute("action"), body: String(body) });
  } else if (form.dataset.after !== "clear") {
    form.dataset.waits = id;
  } else {
    form.querySelector("input[name=key]").value = freshKey();
    for (const field of form.querySelectorAll("[data-told]")) field.value = "";
    form.querySelector("[data-told]")?.focus();
    form.dispatchEvent(new Event("kept"));
  }
});

// What was sent after all while its form still stands here: go on to what came of it.
document.addEventListener("sent", (event) => {
  const { id, state } = event.detail;
  const form = document.querySelector(`form[data-waits="${CSS.escape(id)}"]`);
  if (form && state === "done") go(event.detail);
});

show();
if (names().length) sendAll();
window.addEventListener("online", sendAll);
window.addEventListener("storage", () => show());
setInterval(() => { if (next(new Map())) sendAll(); }, AGAIN);
