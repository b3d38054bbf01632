"""The demo book: an invented engine in an invented workshop, every reading made up.

Dunnock is a freelance 0-6-0 tank engine in 5 inch gauge. Its left piston is tested and passes more
steam than wanted; the right bore is made and its piston still to be turned; the little piston of
its feed pump is only planned. One of its leading tyres is on, one still to be bored; both leading
journals are turned; a drain cock and the union at the clack are tested. Its left injector is made
and has had all four of its tests, the right one is planned. Of forty ferrules for its pipe unions
twenty-two are made.
"""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np

from benchproof.book.demo_fits import enter_fits
from benchproof.book.demo_injectors import enter_injectors
from benchproof.book.lots import enter_lot, enter_readings
from benchproof.book.model import Book
from benchproof.features import PROCESSES
from benchproof.reckon.lot_entries import LotEntry, LotSheet

WHO = "invented builder"
PAST = (12.0, 18.0, 25.0, 30.0, 32.0, 40.0, 16.0, 22.0, 30.0, 50.0)
SPEC = {
    "bore": "30 mm",
    "land_length": "20 mm",
    "stroke": "40 mm",
    "bore_material": "gunmetal",
    "piston_material": "gunmetal",
    "cutoff": "75 %",
    "speed": "300 rpm",
    "piston_lead": "10 ± 3 K",
}


def make_demo(path: Path) -> Book:
    """Make the demo book; refuses a path that is taken."""
    book = Book.create(
        path, {"name": "Workshop of an invented builder", "invented": "yes"}, who=WHO
    )
    lathe = book.enter(
        "machine",
        {
            "name": "Small centre lathe",
            "swing_over_bed": "320 mm",
            "swing_over_slide": "190 mm",
            "between_centres": "600 mm",
            "note": "Invented.",
        },
    )
    book.enter("instrument", {"name": "bore gauge", "u": "3 um", "checked": "2026-01-10"})
    book.enter("instrument", {"name": "digital micrometer", "u": "2 um", "checked": "2026-01-10"})
    _past_parts(book, lathe.id)
    _engine(book)
    enter_fits(book, "Dunnock")
    enter_injectors(book, "Dunnock")
    _ferrules(book)
    return book


def _past_parts(book: Book, lathe: str) -> None:
    """Thirty parts, the spindle bearings adjusted after the fifteenth; a fixed seed."""
    rng = np.random.default_rng(1908)
    for number in range(30):
        process = "bore" if number % 2 else "turn"
        size = PAST[number % len(PAST)] * 1e-3
        after = number >= 15
        unit = PROCESSES[process].unit_at(size)
        off = unit * ((0.6 if after else 1.2) + (1.6 if after else 3.2) * rng.standard_normal())
        u = 3e-6 if process == "bore" else 2e-6
        read = size + off + u * rng.standard_normal()
        book.enter(
            "past part",
            {
                "process": process,
                "aim": f"{size * 1e3:.3f} mm",
                "came_out": f"{read * 1e3:.3f} mm",
                "instrument": "bore gauge" if process == "bore" else "digital micrometer",
                "when": f"2025-{1 + number // 3:02d}-{5 + 9 * (number % 3):02d}",
            },
            subject=lathe,
        )
    book.enter(
        "event",
        {"what": "spindle bearings adjusted", "when": "2025-06-01", "trust": "0.25"},
        subject=lathe,
    )


def _engine(book: Book) -> None:
    engine = book.enter(
        "engine",
        {
            "name": "Dunnock",
            "gauge": "5 in",
            "boiler_pressure": "5 bar",
            "evaporation": "12 kg/h",
            "note": "An invented freelance 0-6-0 tank engine.",
        },
    )
    parts = {}
    for name, group, off in (
        ("cylinder", "cylinders and motion", "2"),
        ("piston", "cylinders and motion", "2"),
        ("pump cylinder", "feed and fittings", "1"),
        ("pump piston", "feed and fittings", "1"),
    ):
        stated = {"name": name, "group": group, "off": off}
        parts[name] = book.enter("part", stated, subject=engine.id).id
    for part, pieces in {
        "cylinder": ("left cylinder", "right cylinder"),
        "piston": ("left piston", "right piston"),
        "pump cylinder": ("feed pump cylinder",),
        "pump piston": ("feed pump piston",),
    }.items():
        for piece in pieces:
            book.enter("piece", {"name": piece}, subject=parts[part])
    for side in ("left", "right"):
        _bind(book, f"{side} piston fit", SPEC, f"{side} cylinder", f"{side} piston")
    pump = SPEC | {"bore": "20 mm", "land_length": "14 mm", "stroke": "25 mm", "speed": "120 rpm"}
    _bind(book, "feed pump piston fit", pump, "feed pump cylinder", "feed pump piston")
    _left_side(book)
    book.measure(
        "right cylinder",
        "bore",
        "30.006 mm",
        aim="30 mm",
        taken={"instrument": "bore gauge", "when": "2026-02-21", "room_temperature": "19 °C"},
    )


def _bind(book: Book, name: str, spec: Mapping[str, object], bore: str, piston: str) -> None:
    book.bind("piston-fit", name, spec, {"bore": bore, "piston": piston}, engine="Dunnock")


def _left_side(book: Book) -> None:
    book.measure(
        "left cylinder",
        "bore",
        "30.002 mm",
        aim="30 mm",
        taken={"instrument": "bore gauge", "when": "2026-02-07"},
    )
    book.measure(
        "left piston",
        "piston",
        "29.988 mm",
        aim="29.987 mm",
        taken={"instrument": "digital micrometer", "when": "2026-02-14"},
    )
    book.measure(
        "left piston",
        "piston",
        "29.975 mm",
        taken={"instrument": "digital micrometer", "cut": "fitted", "when": "2026-02-15"},
    )
    book.test("left piston fit", "drop-test", left_drop_test(), when="2026-02-16")
    piston = book.find("piece", "left piston")
    book.enter(
        "note",
        {"text": "Lapped a little too eagerly.", "when": "2026-02-16"},
        subject=piston.id,
    )


FERRULES = {
    "wanted": "40",
    "nominal": "8 mm",
    "iso_class": "h7",
    "correction": "smaller",
    "wear": "0.05 ± 0.03 um",
    "interval": "8",
}
# Read in micrometres over 7.9 mm; the stop was set afresh after every eighth piece.
FERRULES_READ = (
    (94, 95, 93, 96, 94, 95, 97, 95),
    (91, 92, 90, 91, 93, 92, 92, 94),
    (93, 94, 101, 93, 95, 94),
)


def _ferrules(book: Book) -> None:
    """Forty ferrules wanted, twenty-two made at three settings of the stop, one of them again."""
    engine = book.find("engine", "Dunnock")
    stated = {"name": "ferrule", "group": "feed and fittings", "off": "40"}
    book.enter("part", stated, subject=engine.id)
    lot = enter_lot(book, "ferrules", FERRULES, part="ferrule", feature="shank")
    for setting, (read, when) in enumerate(
        zip(FERRULES_READ, ("2026-02-25", "2026-02-25", "2026-02-26"), strict=True)
    ):
        first = 8 * setting + 1
        sheet = LotSheet(
            tuple(
                LotEntry(
                    id=sha256(f"{lot.id} {number}".encode()).hexdigest()[:16],
                    number=number,
                    value=7.9e-3 + micrometres * 1e-6,
                    setting=setting + 1,
                    stop=7.992e-3,
                    text=f"{(7900 + micrometres) / 1000:.3f} mm",
                )
                for number, micrometres in enumerate(read, first)
            ),
            "stated",
        )
        enter_readings(book, lot.id, sheet, when=when)


def left_drop_test() -> dict[str, Any]:
    """Invented readings of a piston that passes more steam than wanted."""
    upright = ({"posture": "upright", "time": time} for time in ("2:05", "2:02", "2:08", "2:04"))
    tilted = ({"posture": "tilted", "tilt": "20 deg", "time": time} for time in ("1:28", "1:27"))
    return {
        "piston_mass": "101.8 g",
        "travel": "20 mm",
        "air_temperature": "20 °C",
        "air_pressure": "1013 mbar",
        "falls_free": "yes",
        "reading": [*upright, *tilted],
    }
