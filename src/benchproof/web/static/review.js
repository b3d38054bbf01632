// While the duties are judged in the background, the page shows how far that is.

const place = document.querySelector("[data-review]");

async function look() {
  const running = place.querySelector("#reviewed")?.dataset.running === "yes";
  if (!running) return;
  try {
    const answer = await fetch(place.dataset.review);
    if (answer.ok) {
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const inside = place.contains(document.activeElement) ? document.activeElement.getAttribute("href") : null;
      place.replaceChildren(page.getElementById("reviewed"));
      if (inside) place.querySelector(`a[href="${CSS.escape(inside)}"]`)?.focus();
    }
  } catch {
    // The server is busy or gone: ask again.
  }
  setTimeout(look, 700);
}

if (place) setTimeout(look, 500);
