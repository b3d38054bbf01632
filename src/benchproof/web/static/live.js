// The answer follows while somebody types: a quick one at once, the full one when they pause.

const QUICK = 140; // ms after the last key
const FULL = 700;
const answer = () => document.getElementById("answer");

for (const form of document.querySelectorAll("form[data-live]")) {
  let waiting = null;
  let going = null;

  const ask = async (full) => {
    going?.abort();
    going = new AbortController();
    const asked = going;
    const body = new URLSearchParams(new FormData(form));
    try {
      const came = await fetch(form.dataset.live + (full ? "?full" : ""), { method: "POST", body, signal: asked.signal });
      if (!came.ok) throw new Error(String(came.status));
      show(new DOMParser().parseFromString(await came.text(), "text/html"));
    } catch (wrong) {
      if (wrong.name === "AbortError") return;
      glance("No answer came. What you typed is still here.");
    }
    if (asked === going) going = null;
  };

  const glance = (words) => {
    const place = form.querySelector("#glance");
    if (place) place.textContent = words;
  };

  const show = (came) => {
    const shown = answer();
    const none = !came.querySelector("#answer .answer, #answer .wrong");
    // An answer that was there stays, and says that it is of what was typed before.
    shown.dataset.outdated = none && shown.querySelector(".answer") ? "yes" : "no";
    for (const id of shown.dataset.outdated === "yes" ? [] : ["answer", "why"]) {
      const place = document.getElementById(id);
      const fresh = came.getElementById(id);
      const open = new Set(Array.from(place.querySelectorAll("details[open] > summary"), (s) => s.textContent));
      place.replaceChildren(...fresh.childNodes);
      for (const summary of place.querySelectorAll("details > summary")) {
        if (open.has(summary.textContent)) summary.parentElement.open = true;
      }
      if (id === "answer") place.dataset.quick = fresh.dataset.quick;
    }
    form.querySelector("#glance")?.replaceChildren(...came.getElementById("glance").childNodes);
    for (const notes of came.querySelectorAll("body > .notes")) note(notes);
    document.dispatchEvent(new Event("answered"));
  };

  const note = (notes) => {
    const place = document.getElementById(notes.id);
    const field = document.getElementById(notes.id.replace(/-notes$/, ""));
    if (!place || !field) return;
    const wrong = notes.querySelector(".wrong");
    // What has not been reached yet is not complained about.
    const early = wrong && !field.value.trim();
    for (const each of notes.querySelectorAll("[role]")) each.removeAttribute("role");
    place.replaceChildren(...(early ? [] : notes.childNodes));
    const refused = Boolean(wrong) && !early;
    field.closest(".box")?.classList.toggle("is-wrong", refused);
    if (refused) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  };

  // The page itself came with a rough answer where the full one was not at hand.
  if (answer().dataset.quick === "yes") ask(true);
  form.querySelector("#glance")?.setAttribute("aria-live", "polite");
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      ask(false).then(() => {
        if (answer().dataset.quick === "yes" && answer().dataset.outdated !== "yes") waiting = setTimeout(() => ask(true), FULL);
      });
    }, QUICK);
  });
}
