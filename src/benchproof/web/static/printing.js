// How far a paper is, until it is ready.

async function look() {
  const place = document.getElementById("printing");
  if (place.dataset.running !== "yes") return;
  try {
    const came = await fetch(location.href);
    if (came.ok) {
      const fresh = new DOMParser().parseFromString(await came.text(), "text/html").getElementById("printing");
      place.dataset.running = fresh.dataset.running;
      place.replaceChildren(...fresh.childNodes);
    }
  } catch {
    // The server is busy or gone: ask again.
  }
  setTimeout(look, 700);
}
setTimeout(look, 500);
