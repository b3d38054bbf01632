"""Random forms sent at every page that takes one: nothing may break, whatever is typed.

A test sends a few thousand; many more with ``python -m web.hostile_forms 50000`` from here.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import httpx
from starlette.routing import Route

from benchproof.bench_tests import BENCH_TESTS
from benchproof.book.kinds import KINDS
from benchproof.duties import DUTIES, load_duty
from benchproof.specs import describe
from web.screens import Browser, browsing, demo_book, ids

TEXTS = (
    "", " ", "0", "-1", "1e999", "nan", "∞", "30 mm", "1 7/16 in", "10 ± 3 K", "2 to 4 µm",
    "gunmetal", "yes", "first", "fitted", "2026-02-31", "2026-02-28", "NaN mm", "1" * 400,
    "\x00", "\ud800", "a\nb", "<script>", "'; DROP TABLE record; --", "../../etc/passwd", "𝟛𝟘 mm",
    "٣٠ mm", "30 mm " * 50, "{{ 7 * 7 }}", "%s%n", "é" * 250, "\u202e", "true", "[]", "left piston",
)  # fmt: skip
NAMES = (
    "key", "drawn_from", "about", "engine", "why", "size", "aim", "u", "unit", "cut", "instrument",
    "when", "sure", "instead_of", "part_temperature", "room_temperature", "duty_name", "group",
    "give", "units", "who", "back", "code", "name", "revoke", "workshop", "begin", "piece.bore",
    "new.bore", "new.piston", "note", "off", "text", "process", "came_out", "reading.0.time",
    "number", "stop", "fresh", "again", "wanted", "lower", "upper", "paper", "travel",
    "piston_mass", "air_temperature", "reading.0.posture", "reading.3.count",
    "reading.0.marks.0.at",
)  # fmt: skip


OF_ITS_OWN = ("/duty/", "/lot/", "/part/", "/measure/", "/engine/")
PART = re.compile(r"{(\w+)}")


def pages(browser: Browser) -> list[str]:
    """Every page that takes a form, as the app has them now: a new one is sent forms at once."""
    routes = [route for route in browser.app.routes if isinstance(route, Route)]
    return [route.path for route in routes if "POST" in (route.methods or ())]


class Sender:
    """Sends random forms from one browser; counts what came back."""

    def __init__(self, browser: Browser, seed: int) -> None:
        self.browser = browser
        self.random = random.Random(seed)
        self.known = list(ids(browser).values())
        records = browser.app.state.desk.read().store.records
        self.records = [record.id for record in records]
        self.pages = pages(browser)
        self.fields = {key: [r.name for r in describe(load_duty(key).spec_type)] for key in DUTIES}
        self.counts: Counter[int] = Counter()

    def address(self) -> str:
        """A page that takes forms, any that the app has, of something that is there or not."""
        pick = self.random.choice
        key = pick([*self.known, *self.records, "x", "%00", "a" * 300])
        fits = {
            "kind": pick([*KINDS, "size", "duty", *BENCH_TESTS]).replace(" ", "-"),
            "duty": pick([*DUTIES, "none"]),
            "test": pick([*BENCH_TESTS, "none"]),
            "feature": pick(["bore", "piston", "none", "%2e%2e"]),
        }
        where = pick(self.pages)
        if where.startswith(OF_ITS_OWN):
            key = pick(self.of_kind(where.split("/")[1]) or [key])
        return PART.sub(lambda part: fits.get(part[1], key), where)

    def of_kind(self, kind: str) -> list[str]:
        """Ids of things of the kind that a page is of."""
        state = self.browser.app.state.desk.read().state
        if kind == "duty":
            return list(state.bindings)
        return [thing.id for thing in state.of({"measure": "piece"}.get(kind, kind))]

    def typed(self) -> dict[str, str]:
        """Fields that fit, fields that do not, and numbers of rows nobody asked for."""
        names = [*NAMES, *self.fields[self.random.choice(list(self.fields))]]
        found = {}
        for _ in range(self.random.randrange(12)):
            name = self.random.choice(names).replace("*", str(self.random.choice([0, 1, 7, 10**9])))
            text = self.random.choice([*TEXTS, *self.known[:8], *self.records[:8]])
            found[name] = text.encode("utf-8", "replace").decode()
        if self.random.random() < 0.2:
            piece = self.random.choice(self.known)
            found[f"size.{piece}.piston"] = (
                self.random.choice(TEXTS).encode("utf-8", "replace").decode()
            )
        if self.random.random() < 0.2:
            found |= {"number": str(self.random.randrange(40)), "size": "7.993", "unit": "mm"}
        return found

    def _with_a_file(self, address: str, typed: dict[str, str]) -> httpx.Response:
        content = self.random.choice(
            [b"", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0", b"%PDF-1.7", b"no"]
        )
        name = self.random.choice(["IMG_1.png", "", "../../x", "a" * 300, "\u202egnp", "x.html"])
        return self.browser.ask(
            "POST",
            address,
            data=typed,
            files={self.random.choice(["photograph", "about", "none"]): (name, content)},
            headers={"origin": self.browser.base},
        )

    def send(self, count: int) -> list[str]:
        """Send so many; a line for each that broke something."""
        broken: list[str] = []
        for number in range(count):
            if number % 2000 == 1999:
                sys.stderr.write(f"{number + 1} sent, {len(broken)} broke something\n")
            address, typed = self.address(), self.typed()
            if address == "/photo" and self.random.random() < 0.7:
                answer = self._with_a_file(address, typed)
            else:
                answer = self.browser.post(address, typed)
            self.counts[answer.status_code] += 1
            if answer.status_code >= 500:
                broken.append(f"{answer.status_code} {address} {typed}")
        return broken


def main(count: int, seed: int) -> int:
    """Send so many, and say what came back."""
    with (
        tempfile.TemporaryDirectory() as folder,
        browsing(demo_book(Path(folder)), lan=True) as browser,
    ):
        sender, began = Sender(browser, seed), time.perf_counter()
        broken = sender.send(count)
        took = time.perf_counter() - began
    sys.stdout.write(f"{count} forms in {took:.0f} s: {dict(sorted(sender.counts.items()))}\n")
    sys.stdout.writelines(f"{line}\n" for line in broken[:20])
    return 1 if broken else 0


if __name__ == "__main__":
    raise SystemExit(main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1))
