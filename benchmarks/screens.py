"""The screens: from a cold start to the first page, an answer while somebody types, a large book.

By itself: ``python -m benchmarks.screens``.
"""

from __future__ import annotations

import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.error import URLError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener

from benchmarks.books import DUTIES, fill
from benchmarks.timing import Figure
from benchproof.book.demo import SPEC, make_demo

PORT = 8791
ASKED = 60  # answers while typing
LOOKED = 20  # times a page is looked at
OPENER = build_opener(HTTPCookieProcessor())


def figures() -> Iterator[Figure]:
    """All of them, asked over the network of this machine as a browser asks."""
    with tempfile.TemporaryDirectory(prefix="benchproof-") as folder:
        small, large = Path(folder, "small.book"), Path(folder, "large.book")
        make_demo(small).close()
        fill(large)
        yield from _small(small)
        yield from _large(large)


def _small(path: Path) -> Iterator[Figure]:
    began = time.perf_counter()
    server, page = _served(path)
    try:
        yield Figure("screens: cold start to first page", time.perf_counter() - began, at_most=2.0)
        duty = re.findall(r'class="name" href="(/duty/[0-9a-f]+)"', page)[1]
        weight = {"/", duty, "/static/drawing-office.css", "/static/page.js", "/static/live.js"}
        _judged()
        sizes = {each: len(_get(each)) for each in weight}
        taken = []
        for number in range(ASKED):
            typed = SPEC | {"boiler_pressure": f"{3.0 + 0.05 * number:.2f} bar"}
            began = time.perf_counter()
            _post(f"{duty}/live", typed)
            taken.append(time.perf_counter() - began)
        yield Figure("screens: answer while typing, p50", statistics.median(taken))
        yield Figure(
            "screens: answer while typing, p95", statistics.quantiles(taken, n=20)[-1], at_most=0.1
        )
        for each, size in sorted(sizes.items()):
            sys.stderr.write(f"{each.split('/')[-1][:20] or '/'}: {size / 1024:.1f} KiB\n")
    finally:
        server.terminate()
        server.wait()


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
    for figure in figures():
        print("  ".join(figure.row()))
