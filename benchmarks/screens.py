"""The screens: from a cold start to the first page, an answer while somebody types, a large book.

By itself: ``python -m benchmarks.screens``.
"""

from __future__ import annotations

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.error import URLError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener

from benchmarks.books import DUTIES, fill
from benchmarks.timing import Figure
from benchproof.book.demo import make_demo

PORT = 8791
ASKED = 40  # answers while typing
LOOKED = 20  # times a page is looked at
CHROMIUM = Path("/usr/bin/chromium")
PAINTED = """([name, text]) => new Promise((done) => {
  const field = document.getElementById(`f-${name}`);
  const began = performance.now();
  document.addEventListener("answered", () => requestAnimationFrame(() => setTimeout(
    () => done(performance.now() - began))), { once: true });
  field.value = text;
  field.dispatchEvent(new Event("input", { bubbles: true }));
})"""


LOADED = """() => [...performance.getEntriesByType("navigation"),
  ...performance.getEntriesByType("resource")].reduce((sum, each) => sum + each.encodedBodySize, 0)
"""


@dataclass(frozen=True)
class Typed:
    """A field into which somebody types one figure after the other."""

    name: str
    start: float
    step: float
    unit: str

    def text(self, number: int) -> str:
        """What is typed at last, each time another."""
        return f"{self.start + self.step * number:.4f} {self.unit}"


LIVE = {
    "right piston fit": Typed("boiler_pressure", 3.0, 0.02, "bar"),
    "left front drain cock": Typed("pressure", 3.0, 0.02, "bar"),
    "left injector": Typed("boiler_pressure", 5.0, 0.005, "bar"),
}
OPENER = build_opener(HTTPCookieProcessor())


def figures() -> Iterator[Figure]:
    """All of them, asked over the network of this machine as a browser asks."""
    with tempfile.TemporaryDirectory(prefix="benchproof-") as folder:
        small, large = Path(folder, "small.book"), Path(folder, "large.book")
        make_demo(small).close()
        yield from _small(small)
        fill(large)
        yield from _large(large)


def _small(path: Path) -> Iterator[Figure]:
    began = time.perf_counter()
    server, _ = _served(path)
    try:
        yield Figure("screens: cold start to first page", time.perf_counter() - began, at_most=2.0)
        _judged()
        duties = dict(re.findall(r'href="/duty/([0-9a-f]+)">([^<]+)<', _get("/")))
        named = {name: f"/duty/{key}" for key, name in duties.items()}
        for name in LIVE:
            yield from _live(server, name, named[name])
        if CHROMIUM.exists():
            yield from _in_browser({name: named[name] for name in LIVE})
    finally:
        server.terminate()
        server.wait()


def _live(server: subprocess.Popen[bytes], name: str, duty: str) -> Iterator[Figure]:
    """Answers at the server while somebody types one figure of a form."""
    form = _get(duty).split('id="must"', 1)[1].split("</form>", 1)[0]
    typed = dict(re.findall(r'<input id="f-[^"]+" name="([^"]+)" value="([^"]*)"', form))
    for field, inner in re.findall(
        r'<select id="f-[^"]+" name="([^"]+)".*?>(.*?)</select>', form, re.DOTALL
    ):
        chosen = re.search(r"<option selected>([^<]*)", inner)
        typed[field] = chosen[1] if chosen else ""
    taken, used = [], _processor_time(server)
    for number in range(ASKED):
        typed[LIVE[name].name] = LIVE[name].text(number)
        began = time.perf_counter()
        answer = _post(f"{duty}/live", typed)
        taken.append(time.perf_counter() - began)
        assert 'class="odds"' in answer, f"no answer of {name}"
    yield from _spread(f"screens: {name}, an answer from the server", taken, at_most=0.1)
    used = (_processor_time(server) - used) / ASKED
    yield Figure(f"screens: {name}, processor time of one", used)


def _in_browser(duties: dict[str, str]) -> Iterator[Figure]:
    """From the last key to the answer painted; the form waits 140 ms of it for another key."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(f"http://127.0.0.1:{PORT}/")
        page.wait_for_load_state("networkidle")
        loaded = page.evaluate(LOADED) / 1024
        sys.stderr.write(f"first page, everything it loads: {loaded:.0f} KiB\n")
        for name, duty in duties.items():
            page.goto(f"http://127.0.0.1:{PORT}{duty}?full")
            page.wait_for_selector("#answer .odds")
            page.wait_for_load_state("networkidle")
            loaded = page.evaluate(LOADED) / 1024
            sys.stderr.write(f"{name}, everything it loads: {loaded:.0f} KiB\n")
            taken = [
                page.evaluate(PAINTED, [LIVE[name].name, LIVE[name].text(number + ASKED)]) / 1e3
                for number in range(ASKED)
            ]
            yield from _spread(f"screens: {name}, key to painted answer", taken, at_most=0.4)
        browser.close()


def _spread(what: str, taken: list[float], at_most: float) -> Iterator[Figure]:
    yield Figure(f"{what}, p50", statistics.median(taken))
    yield Figure(f"{what}, p95", statistics.quantiles(taken, n=20)[-1], at_most=at_most)


def _large(path: Path) -> Iterator[Figure]:
    server, page = _served(path, wait=60.0)
    try:
        duties = re.findall(r'class="name" href="(/duty/[0-9a-f]+)"', page)
        assert len(duties) == DUTIES
        _judged()
        taken = []
        for place in range(LOOKED):
            began = time.perf_counter()
            _get(duties[place % len(duties)])
            taken.append(time.perf_counter() - began)
        name = "screens: a duty of 600 parts, 60 000 sizes"
        yield Figure(f"{name}, p50", statistics.median(taken), at_most=0.15)
        began = time.perf_counter()
        _get("/")
        yield Figure("screens: that engine at a glance", time.perf_counter() - began)
        status = Path(f"/proc/{server.pid}/status")
        if status.exists():
            found = re.search(r"VmRSS:\s+(\d+)", status.read_text())
            assert found
            sys.stderr.write(f"memory with that book: {int(found[1]) / 1024:.0f} MiB\n")
    finally:
        server.terminate()
        server.wait()


def _served(path: Path, wait: float = 20.0) -> tuple[subprocess.Popen[bytes], str]:
    """A server of its own, and its first page as soon as it is there."""
    command = [str(Path(sys.executable).with_name("benchproof")), "open", str(path)]
    server = subprocess.Popen(
        [*command, "--port", str(PORT), "--no-browser"], stdout=subprocess.DEVNULL
    )
    until = time.perf_counter() + wait
    while True:
        try:
            return server, _get("/")
        except URLError:
            if time.perf_counter() > until:
                server.terminate()
                raise
            time.sleep(0.01)


def _judged() -> None:
    """Wait until the review in the background is through, so that it does not take its share."""
    while 'data-running="yes"' in _get("/"):
        time.sleep(0.2)


def _processor_time(server: subprocess.Popen[bytes]) -> float:
    """Processor time [s] a server has used so far; a busy machine stretches it less."""
    found = Path(f"/proc/{server.pid}/stat")
    if not found.exists():
        return 0.0
    user, system = found.read_text().rpartition(")")[2].split()[11:13]
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


def _get(path: str) -> str:
    return _asked(Request(f"http://127.0.0.1:{PORT}{path}"))


def _post(path: str, typed: dict[str, str]) -> str:
    origin = {"Origin": f"http://127.0.0.1:{PORT}"}
    body = urlencode(typed).encode()
    return _asked(Request(f"http://127.0.0.1:{PORT}{path}", body, origin))


def _asked(request: Request) -> str:
    with OPENER.open(request, timeout=30.0) as answer:
        text: str = answer.read().decode()
        return text


if __name__ == "__main__":
    print(f"load {os.getloadavg()[0]:.1f} at the start")
    for figure in figures():
        print("  ".join(figure.row()), flush=True)
    print(f"load {os.getloadavg()[0]:.1f} at the end")
