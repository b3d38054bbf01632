// One entry on its way to the server, and what became of it.

const PATIENCE = 15000; // ms for one answer, and more for a photograph
const SLOWEST = 50; // bytes in a ms, over a workshop's network

export const connection = { gone: false }; // whether the last try found no server

// Send one: "done" with where to go, "refused" with the page that says why, or "waiting".
export async function send(each, files) {
  let body = new URLSearchParams(each.body);
  let patience = PATIENCE;
  if (each.files) {
    const text = body;
    body = new FormData();
    for (const [name, value] of text) body.append(name, value);
    for (const [name, file] of files) {
      body.append(name, file);
      patience += file.size / SLOWEST;
    }
  }
  const ending = new AbortController();
  const timer = setTimeout(() => ending.abort(), patience);
  try {
    const came = await fetch(each.address, { method: "POST", body, headers: { "Sent-By": "script" }, signal: ending.signal });
    const text = await came.text();
    connection.gone = false;
    if (came.ok && came.headers.get("content-type")?.startsWith("application/json")) {
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
    connection.gone = true;
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
