// What every page can do: rows that can be added, ids for entries, figures that can be copied,
// Enter that moves on at the bench. Without it every form still works.

export function freshKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// A page come back to with the Back button is a new form: what it sends is a new entry.
window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  for (const key of document.querySelectorAll("input[name=key]")) key.value = freshKey();
});

// Rows for those without a script: here they are added when they are wanted.
for (const more of document.querySelectorAll(".more-rows")) more.remove();
for (const blank of document.querySelectorAll("template")) {
  for (const more of blank.content.querySelectorAll(".more-rows")) more.remove();
}

export function addRow(rows) {
  const number = rows.querySelectorAll(":scope > .row").length;
  const button = rows.querySelector(":scope > .add-row");
  const blank = rows.querySelector(":scope > template").innerHTML;
  button.insertAdjacentHTML("beforebegin", blank.replaceAll(rows.dataset.mark, String(number)));
  const row = rows.querySelectorAll(":scope > .row")[number];
  showAdding(row);
  row.dispatchEvent(new Event("row-added", { bubbles: true }));
  return row;
}

function showAdding(within) {
  for (const button of within.querySelectorAll(".add-row")) button.hidden = false;
}
showAdding(document);
document.addEventListener("click", (event) => {
  const button = event.target.closest?.(".add-row");
  if (button) addRow(button.closest(".rows")).querySelector("input, select")?.focus();
});

// A digital calliper types a number and Enter: go on to the next empty field, then send.
for (const form of document.querySelectorAll("form.bench")) {
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches(".big input")) return;
    const next = Array.from(form.querySelectorAll(".big input")).find(
      (field) => field !== event.target && !field.value.trim(),
    );
    if (!next) return;
    event.preventDefault();
    next.focus();
  });
}

// What takes long to draw is fetched when somebody comes near it.
const near = new IntersectionObserver((seen) => {
  for (const each of seen) {
    if (!each.isIntersecting) continue;
    near.unobserve(each.target);
    fetch(each.target.dataset.fragment)
      .then((came) => (came.ok ? came.text() : Promise.reject(came.status)))
      .then((text) => {
        const part = new DOMParser().parseFromString(text, "text/html").getElementById("fragment");
        each.target.replaceChildren(part);
        document.dispatchEvent(new Event("answered"));
      })
      .catch(() => {}); // the link to the page is still there
  }
}, { rootMargin: "400px" });
for (const place of document.querySelectorAll("[data-fragment]")) near.observe(place);

// Clipboards are open to secure pages only, which a page on the workshop's network is not.
function copied(text) {
  const area = document.createElement("textarea");
  area.value = text;
  document.body.append(area);
  area.select();
  const done = document.execCommand("copy");
  area.remove();
  return done;
}

function showCopying(within) {
  for (const button of within.querySelectorAll(".copy-table")) button.hidden = false;
}
showCopying(document);
document.addEventListener("answered", () => showCopying(document));
document.addEventListener("click", (event) => {
  const button = event.target.closest?.(".copy-table");
  if (!button) return;
  const rows = button.closest("details").querySelectorAll("tr");
  const text = Array.from(rows, (row) => Array.from(row.cells, (cell) => cell.textContent).join("\t"));
  button.textContent = copied(text.join("\n")) ? "Copied" : "Select the figures and copy them";
});
