// At the bench: Enter goes down the readings, a new row takes over what does not change, and the
// stopwatch writes each run into its row. What a run shows comes from the server at once.

import { addRow } from "./page.js";

const form = document.querySelector("form.bench[data-live]");
const rows = form.querySelector(".readings");
const ROW = ":scope > .row";
const MEASURED = "input[data-must]";

function measured(row) {
  return Array.from(row.querySelectorAll(".box")).filter((box) => box.parentElement === row && box.querySelector(".must, input[data-must]")).map((box) => box.querySelector("input")).filter(Boolean);
}

function all() {
  return Array.from(rows.querySelectorAll(ROW));
}

// Boxes that a reading cannot do without are marked once, before anything is typed over the sign.
function mark(row) {
  for (const box of row.querySelectorAll(":scope > .box")) {
    const input = box.querySelector("input");
    if (input && box.querySelector(".must")) input.dataset.must = "yes";
    if (input && box.querySelector(".unit")) input.inputMode = "decimal";
  }
}

// A row that holds a reading already has lost the signs: the blank one tells which boxes they are.
const blank = document.createElement("div");
blank.innerHTML = rows.querySelector(":scope > template").innerHTML;
mark(blank.firstElementChild);
const must = Array.from(blank.querySelectorAll(MEASURED), (input) => input.name.split(".").pop());
const decimal = Array.from(blank.querySelectorAll(".row > .box"), (box) => box.querySelector("input")).filter((input) => input?.inputMode === "decimal").map((input) => input.name.split(".").pop());

function dress(row, number) {
  for (const box of row.querySelectorAll(":scope > .box")) {
    const input = box.querySelector("input");
    if (!input) continue;
    const name = input.name.split(".").pop();
    if (must.includes(name)) input.dataset.must = "yes";
    if (decimal.includes(name)) input.inputMode = "decimal";
  }
  row.setAttribute("aria-label", `Reading ${number}`);
  row.querySelector(".number").textContent = String(number);
}
all().forEach((row, place) => dress(row, place + 1));

rows.addEventListener("row-added", ({ target }) => {
  if (target.parentElement === rows) dress(target, all().indexOf(target) + 1);
});

function another() {
  const before = all().at(-1);
  const row = addRow(rows);
  for (const select of row.querySelectorAll(":scope > .box select")) {
    const same = before?.querySelector(`[name$=".${select.name.split(".").pop()}"]`);
    if (same) select.value = same.value;
  }
  // What goes with the choice, such as a tilt, is taken over too; what is measured is not.
  for (const input of row.querySelectorAll(":scope > .box input:not([data-must])")) {
    const same = before?.querySelector(`:scope > .box [name$=".${input.name.split(".").pop()}"]`);
    if (same) input.value = same.value;
  }
  return row;
}

rows.querySelector(":scope > .add-row").addEventListener("click", (event) => {
  event.stopPropagation();
  another().querySelector("select, input")?.focus();
});

form.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.target.matches("button, summary, textarea")) return;
  event.preventDefault(); // a gauge that sends Enter must not send the form
  if (!event.target.matches("input")) return;
  const inputs = Array.from(form.querySelectorAll(`.set-up > .box input, .readings > .row ${MEASURED}`));
  const place = inputs.indexOf(event.target);
  const later = inputs.filter((input) => event.target.compareDocumentPosition(input) & Node.DOCUMENT_POSITION_FOLLOWING);
  const next = later.find((input) => !input.value.trim());
  if (next) next.focus();
  else if (place >= 0 && event.target.closest(".readings")) another().querySelector(MEASURED).focus();
  else rows.querySelector(MEASURED)?.focus();
});

const clock = form.querySelector(".clock");
if (clock) {
  clock.hidden = false;
  const field = clock.dataset.clock;
  const key = (name) => clock.querySelector(`[data-key="${name}"]`);
  const elapsed = clock.querySelector("#elapsed");
  const says = clock.querySelector(".clock-says");
  let run = null; // { since, row, marks }
  let ear = null;

  const timeOf = (row) => row.querySelector(`:scope > .box [name$=".${field}"]`);
  const next = () => all().find((row) => !timeOf(row).value.trim());
  const told = (row) => `reading ${all().indexOf(row) + 1}`;
  const write = (input, seconds) => {
    input.value = `${seconds.toFixed(2)} s`;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };

  function show() {
    if (!run) return;
    elapsed.textContent = ((performance.now() - run.since) / 1000).toFixed(1);
    requestAnimationFrame(show);
  }

  function going(on) {
    key("start").disabled = on;
    for (const name of ["mark", "stop", "drop"]) if (key(name)) key(name).disabled = !on;
    clock.classList.toggle("is-going", on);
  }

  function start(at) {
    if (run) return;
    run = { since: at, row: next() ?? another(), marks: 0 };
    going(true);
    says.textContent = `Running: ${told(run.row)}.`;
    show();
    listen();
  }

  function pass(at) {
    if (!run || !key("mark")) return;
    const row = run.row;
    const details = row.querySelector("details.within-row");
    details.open = true;
    const inner = details.querySelector(".rows");
    while (inner.querySelectorAll(ROW).length <= run.marks) addRow(inner);
    const place = inner.querySelectorAll(ROW)[run.marks];
    write(place.querySelector('[name$=".time"]'), (at - run.since) / 1000);
    // Marks are scribed once: their distances are those of the run before.
    const above = all()[all().indexOf(row) - 1];
    const known = above?.querySelector(`[name$=".marks.${run.marks}.at"]`)?.value;
    const distance = place.querySelector('[name$=".at"]');
    if (known && !distance.value) distance.value = known;
    run.marks += 1;
    says.textContent = `Mark ${run.marks} at ${((at - run.since) / 1000).toFixed(1)} s.`;
  }

  function stop(at) {
    if (!run) return;
    const { row, since } = run;
    const seconds = (at - since) / 1000;
    run = null;
    deaf();
    going(false);
    elapsed.textContent = seconds.toFixed(2);
    write(timeOf(row), seconds);
    const after = next() ?? another();
    says.textContent = `${seconds.toFixed(2)} s stands in ${told(row)}. Ready for ${told(after)}.`;
  }

  function drop() {
    if (!run) return;
    const { row, marks } = run;
    run = null;
    deaf();
    going(false);
    for (let place = 0; place < marks; place += 1) {
      const passed = row.querySelector(`[name$=".marks.${place}.time"]`);
      if (passed) passed.value = "";
    }
    elapsed.textContent = "0.0";
    says.textContent = `Left out. Ready for ${told(row)}.`;
  }

  const deeds = { start, mark: pass, stop, drop };
  for (const button of clock.querySelectorAll("[data-key]")) {
    const deed = deeds[button.dataset.key];
    // When the finger comes down, not when it is lifted.
    button.addEventListener("pointerdown", (event) => {
      if (event.button !== 0 || button.disabled) return;
      button.dataset.touched = "yes";
      deed(event.timeStamp);
    });
    button.addEventListener("click", (event) => {
      if (button.dataset.touched) delete button.dataset.touched;
      else deed(event.timeStamp);
    });
  }

  const ends = clock.querySelector('[data-key="stop"] kbd').textContent.toLowerCase();
  document.addEventListener("keydown", (event) => {
    const typing = event.target.closest?.("input:not([type=checkbox]), select, textarea, summary, a, button:not([data-key])");
    if (typing || event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
    const name = { " ": run ? "stop" : "start", m: "mark", [ends]: "stop", Escape: "drop" }[event.key === " " || event.key === "Escape" ? event.key : event.key.toLowerCase()];
    if (!name) return;
    event.preventDefault(); // a space would press the button as well, or move the page
    deeds[name](event.timeStamp);
  });

  // The landing heard: only where asked for, only while a run goes, and nothing leaves the page.
  const listening = clock.querySelector("#by-ear input");
  const canHear = window.isSecureContext && navigator.mediaDevices?.getUserMedia && window.AudioContext;
  if (listening && canHear) {
    clock.querySelector("#by-ear").hidden = false;
    listening.addEventListener("change", () => { clock.querySelector("#ear-says").hidden = !listening.checked; });
  }

  async function listen() {
    if (!listening?.checked) return;
    const own = run;
    let sound;
    try {
      sound = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false } });
    } catch {
      says.textContent = "The microphone is not to be had: stop the run by hand.";
      listening.checked = false;
      return;
    }
    if (run !== own) {
      for (const track of sound.getTracks()) track.stop();
      return;
    }
    const context = new AudioContext();
    const hearing = context.createAnalyser();
    hearing.fftSize = 4096;
    context.createMediaStreamSource(sound).connect(hearing);
    const wave = new Float32Array(hearing.fftSize);
    const began = performance.now();
    let quiet = 0.01;
    ear = { sound, context };
    const hear = () => {
      if (run !== own || !ear) return;
      hearing.getFloatTimeDomainData(wave);
      const now = performance.now();
      const level = Math.sqrt(wave.reduce((sum, each) => sum + each * each, 0) / wave.length);
      const bang = wave.findIndex((each) => Math.abs(each) > Math.max(0.1, 10 * quiet));
      // Half a second to learn how quiet it is, and for the finger to leave the bench.
      if (now - began < 500) quiet = Math.max(0.002, 0.8 * quiet + 0.2 * level);
      else if (bang >= 0) {
        stop(now - ((wave.length - bang) / context.sampleRate) * 1000);
        return;
      } else quiet = 0.95 * quiet + 0.05 * level;
      requestAnimationFrame(hear);
    };
    hear();
  }

  function deaf() {
    for (const track of ear?.sound.getTracks() ?? []) track.stop();
    ear?.context.close();
    ear = null;
  }
}
