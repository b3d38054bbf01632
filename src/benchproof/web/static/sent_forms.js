// A form that is sent by a script: what is said of it, and what no form may hold.

export function told(words) {
  const line = document.createElement("p");
  line.textContent = words;
  return line;
}

// What can be typed of a form, for its words in the list and to be cleared.
export const TYPED = "input:not([type=hidden], [type=radio], [type=checkbox], [type=file]), textarea";

export function wordsOf(form, files) {
  const values = (selector) => Array.from(form.querySelectorAll(selector), (field) => field.value.trim());
  const named = ["[data-told]", ".big input, [data-must]", TYPED].map(values).find((found) => found.some(Boolean)) ?? [];
  const sizes = files.map(([, file]) => `${file.name}, ${(file.size / 2 ** 20).toFixed(1)} MiB`);
  return `${form.dataset.keep}: ${[...named.filter(Boolean), ...sizes].join(", ").slice(0, 120)}`;
}

export function tooLarge(form) {
  for (const field of form.querySelectorAll("input[type=file][data-largest]")) {
    const notes = document.getElementById(`${field.id}-notes`);
    const file = field.files[0];
    notes.replaceChildren();
    if (!file || file.size <= Number(field.dataset.largest) * 2 ** 20) continue;
    const line = told(`That file has ${Math.ceil(file.size / 2 ** 20)} MiB: ${field.dataset.largest} at the most.`);
    line.className = "wrong";
    line.setAttribute("role", "alert");
    notes.append(line);
    return true;
  }
  return false;
}
