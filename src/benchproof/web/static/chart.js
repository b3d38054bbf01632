// The reading under a finger: the nearest aim that was tried, its size and its odds.

const WORDS = new WeakMap();

function read(event) {
  const svg = event.target.closest?.("figure[data-chart] svg");
  if (!svg) return;
  const figure = svg.closest("figure");
  const points = JSON.parse(figure.dataset.points);
  const columns = JSON.parse(figure.dataset.columns);
  const box = svg.getBoundingClientRect();
  const x = ((event.clientX - box.left) / box.width) * svg.viewBox.baseVal.width;
  const near = points.reduce((a, b) => (Math.abs(b[0] - x) < Math.abs(a[0] - x) ? b : a));
  let line = svg.querySelector(".finger");
  if (!line) {
    line = document.createElementNS("http://www.w3.org/2000/svg", "line");
    line.setAttribute("class", "finger");
    line.setAttribute("y1", "22");
    line.setAttribute("y2", String(svg.viewBox.baseVal.height - 46));
    svg.append(line);
  }
  line.setAttribute("x1", near[0]);
  line.setAttribute("x2", near[0]);
  const place = figure.querySelector(".reading");
  if (!WORDS.has(place)) WORDS.set(place, place.textContent);
  place.textContent = near.slice(1).map((text, n) => `${columns[n]} ${text}`).join(", ");
}

function leave(event) {
  const figure = event.target.closest?.("figure[data-chart]");
  if (!figure || event.pointerType === "touch") return;
  figure.querySelector(".finger")?.remove();
  const place = figure.querySelector(".reading");
  if (WORDS.has(place)) place.textContent = WORDS.get(place);
}

document.addEventListener("pointermove", read);
document.addEventListener("pointerdown", read);
document.addEventListener("pointerout", leave);
