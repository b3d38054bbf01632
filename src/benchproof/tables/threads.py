"""Small screw threads: sizes by the names the trade uses, limits, tapping drills.

ISO metric (coarse and fine, 6g screws in 6H nuts), BA, and threads of Whitworth form: BSW, BSF,
the model engineer's 40 and 32 threads per inch, and parallel BSP. A percentage of thread means
nothing without its scale: here 100 % is always the full height of the thread as the standard
draws it, and :attr:`Form.scale` says which that is.

The BA series looks like a formula and is a table: pitch is 0.9 to the power of the number,
diameter 6 p^1.2 of the *unrounded* pitch, both rounded afterwards. From rounded pitches 13 BA
comes out a tenth of a millimetre small, so the table is kept and the formula only tested.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from benchproof.tables.reading import rows
from benchproof.tables.thread_names import UnknownThread, closest, plain_thread_name

__all__ = [
    "DrillBelowCore",
    "Form",
    "Limits",
    "Thread",
    "UnknownThread",
    "engagement",
    "tapping_drill",
    "thread",
    "threads",
]

INCH = 25.4e-3
_MM = 1e-3
_DRILL_STEP = 0.05e-3  # metric drills come by twentieths of a millimetre in these sizes


class DrillBelowCore(ValueError):
    """A tapping drill smaller than the core of the thread: the tap would have to press metal."""


@dataclass(frozen=True, kw_only=True)
class Form:
    """A form of thread, in parts of its pitch.

    ``height`` is that of the full thread, taken as 100 %; ``pitch_drop`` is major less pitch
    diameter, ``screw_core_drop`` and ``nut_core_drop`` major less the cores. ``half_angle``
    [rad] is that of the flanks. ``usual_share`` is the share of ``height`` a tapping drill
    usually leaves (common practice).
    """

    key: str
    half_angle: float
    height: float
    pitch_drop: float
    screw_core_drop: float
    nut_core_drop: float
    scale: str
    usual_share: float
    source: str


_H = math.sqrt(3.0) / 2.0
FORMS: Mapping[str, Form] = MappingProxyType(
    {
        form.key: form
        for form in (
            Form(
                key="iso metric",
                half_angle=math.radians(30.0),
                height=5.0 / 8.0 * _H,
                pitch_drop=3.0 / 4.0 * _H,
                screw_core_drop=17.0 / 12.0 * _H,
                nut_core_drop=5.0 / 4.0 * _H,
                scale="100 % is 5/8 H, 1.0825 P on diameter (ISO 68-1)",
                usual_share=0.85,
                source="ISO 68-1",
            ),
            Form(
                key="ba",
                half_angle=math.radians(23.75),
                height=0.6,
                pitch_drop=0.6,
                screw_core_drop=1.2,
                nut_core_drop=1.2,
                scale="100 % is the full depth, 1.2 P on diameter (BS 93)",
                usual_share=0.75,
                source="BS 93",
            ),
            Form(
                key="whitworth",
                half_angle=math.radians(27.5),
                height=0.640327,
                pitch_drop=0.640327,
                screw_core_drop=1.280654,
                nut_core_drop=1.280654,
                scale="100 % is the full depth, 1.2807 P on diameter (BS 84)",
                usual_share=0.75,
                source="BS 84",
            ),
        )
    }
)


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Smallest and largest diameters [m] of a screw and of its nut.

    ``screw_major``, ``screw_pitch``, ``nut_minor`` and ``nut_pitch`` are (smallest, largest).
    """

    screw_major: tuple[float, float]
    screw_pitch: tuple[float, float]
    nut_minor: tuple[float, float]
    nut_pitch: tuple[float, float]
    source: str

    @property
    def loosest(self) -> float:
        """Widest pitch clearance of the class [m]: largest nut on smallest screw."""
        return self.nut_pitch[1] - self.screw_pitch[0]


@dataclass(frozen=True, kw_only=True)
class Thread:
    """One size of thread; ``major`` and ``pitch`` are basic, in metres."""

    key: str
    series: str
    form: Form
    major: float
    pitch: float
    limits: Limits
    source: str

    @property
    def pitch_diameter(self) -> float:
        """Basic pitch (effective) diameter [m]."""
        return self.major - self.form.pitch_drop * self.pitch

    @property
    def screw_core(self) -> float:
        """Core diameter of the screw [m]."""
        return self.major - self.form.screw_core_drop * self.pitch

    @property
    def nut_core(self) -> float:
        """Basic minor diameter of the nut [m], below which no tapping drill may be."""
        return self.major - self.form.nut_core_drop * self.pitch


def thread(name: str) -> Thread:
    """Thread of a name as the trade writes it: M5, M6x0.75, 2 BA, 5/16 x 40, 1/4 x 32 ME, 1/8 BSP.

    A metric thread without a pitch is the coarse one. Raises UnknownThread with the closest.
    """
    plain = plain_thread_name(name)
    found = _by_name().get(plain)
    if found is None:
        raise UnknownThread(name, closest(plain, [each.key for each in threads()]))
    return found


@lru_cache(maxsize=1)
def threads() -> tuple[Thread, ...]:
    """All threads, by series."""
    sources = {row["code"]: row["text"] for row in rows("thread_sources.csv")}
    return tuple(_thread(row, sources) for row in rows("threads.csv"))


def engagement(size: Thread, *, drill: float) -> float:
    """Share of the full thread that a tapping drill [m] leaves, on the scale of the form.

    Raises DrillBelowCore for a drill under the core: that is an error in whatever list names it.
    """
    share = (size.major - drill) / (2.0 * size.form.height * size.pitch)
    if share > 1.0 + 1e-9:
        raise DrillBelowCore(
            f"a {drill * 1e3:.2f} mm drill is below the core of {size.key}, "
            f"{size.nut_core * 1e3:.3f} mm ({share * 100:.0f} %; {size.form.scale})"
        )
    return share


def tapping_drill(size: Thread, *, share: float | None = None) -> float:
    """Metric drill [m] that leaves nearest to a share of the full thread, never below the core.

    ``share`` [-] is the form's usual one when left out; the drill then also keeps within the
    limits of the nut's minor diameter. Raises ValueError outside 0.3 to 1.
    """
    wanted = size.form.usual_share if share is None else share
    if not 0.3 <= wanted <= 1.0:
        raise ValueError(f"a share of {wanted:g} is outside 0.3 to 1: {size.form.scale}")
    exact = size.major - 2.0 * wanted * size.form.height * size.pitch
    least = math.ceil(size.nut_core / _DRILL_STEP - 1e-9)
    most = size.limits.nut_minor[1] if share is None else size.major
    steps = min(round(exact / _DRILL_STEP), math.floor(most / _DRILL_STEP + 1e-9))
    return max(steps, least) * _DRILL_STEP


def _thread(row: Mapping[str, str], sources: Mapping[str, str]) -> Thread:
    form = FORMS[row["form"]]
    inches, tpi = row["unit"] == "in", row["unit"] != "mm"
    major = _number(row["major"]) * (INCH if inches else _MM)
    pitch = INCH / float(row["pitch"]) if tpi else float(row["pitch"]) * _MM
    if row["series"].startswith("ISO"):
        limits = _iso_limits(form, major, pitch)
    elif row["series"] == "BA":
        limits = _ba_limits(form, major, pitch)
    elif row["series"] == "BSP":
        limits = _bsp_limits(form, major, pitch)
    else:
        limits = _whitworth_limits(form, major, pitch)
    return Thread(
        key=row["key"],
        series=row["series"],
        form=form,
        major=major,
        pitch=pitch,
        limits=limits,
        source=sources[row["source"]],
    )


def _number(text: str) -> float:
    top, _, bottom = text.partition("/")
    return float(top) / float(bottom or 1.0)


def _limits(
    form: Form,
    major: float,
    pitch: float,
    *,
    allowance: float,
    tolerances: tuple[float, float, float, float],
    source: str,
) -> Limits:
    """Limits from an allowance of the screw and tolerances, as they stand in ``Limits`` [m]."""
    screw_major, screw_pitch, nut_minor, nut_pitch = tolerances
    middle = major - form.pitch_drop * pitch
    core = major - form.nut_core_drop * pitch
    return Limits(
        screw_major=(major - allowance - screw_major, major - allowance),
        screw_pitch=(middle - allowance - screw_pitch, middle - allowance),
        nut_minor=(core, core + nut_minor),
        nut_pitch=(middle, middle + nut_pitch),
        source=source,
    )


def _iso_limits(form: Form, major: float, pitch: float) -> Limits:
    row = next(
        row
        for row in rows("iso965_um.csv")
        if float(row["over_mm"]) < major * 1e3 <= float(row["upto_mm"]) + 1e-9
        and math.isclose(float(row["pitch_mm"]), pitch * 1e3)
    )
    names = ("screw_major", "screw_pitch", "nut_minor", "nut_pitch")
    first, second, third, fourth = (float(row[name]) * 1e-6 for name in names)
    return _limits(
        form,
        major,
        pitch,
        allowance=float(row["screw_allowance"]) * 1e-6,
        tolerances=(first, second, third, fourth),
        source="ISO 965-1, 6g and 6H (table from memory, coarse sizes compared with ISO 965-2)",
    )


def _ba_limits(form: Form, major: float, pitch: float) -> Limits:
    return _limits(
        form,
        major,
        pitch,
        allowance=0.025e-3,
        tolerances=(0.20 * pitch, 0.10 * pitch + 25e-6, 0.375 * pitch, 0.12 * pitch + 30e-6),
        source="BS 93:1951, normal class, in Machinery's Handbook, 31st ed., p. 2115",
    )


def _whitworth_limits(form: Form, major: float, pitch: float) -> Limits:
    """BS 84, medium class, engaged over one diameter; the model series borrows it."""
    inches, step = major / INCH, pitch / INCH
    tolerance = 0.002 * math.cbrt(inches) + 0.003 * math.sqrt(inches) + 0.005 * math.sqrt(step)
    minor = 0.2 * step + (0.004 if step < 1.0 / 25.0 else 0.005 if step < 1.0 / 21.0 else 0.007)
    screw_major = tolerance + 0.01 * math.sqrt(step)
    return _limits(
        form,
        major,
        pitch,
        allowance=0.0,
        tolerances=(screw_major * INCH, tolerance * INCH, minor * INCH, tolerance * INCH),
        source="BS 84, medium class (formula from memory)",
    )


def _bsp_limits(form: Form, major: float, pitch: float) -> Limits:
    eighth = major < 10e-3
    return _limits(
        form,
        major,
        pitch,
        allowance=0.0,
        tolerances=(
            (214e-6, 107e-6, 282e-6, 107e-6) if eighth else (250e-6, 125e-6, 445e-6, 125e-6)
        ),
        source="ISO 228-1, class A (tolerances from memory)",
    )


@lru_cache(maxsize=1)
def _by_name() -> Mapping[str, Thread]:
    """By full name, and without the name of its series where that is no loss."""
    found: dict[str, Thread] = {}
    for each in threads():
        plain = plain_thread_name(each.key)
        found[plain] = each
        bare = plain.rpartition(" ")[0]
        if "x" in bare:  # the geometry is one, whichever series lists it
            found.setdefault(bare, each)
        if each.series in {"BSW", "BSF"}:  # 1/4 BSW has but one pitch
            found[f"{bare.partition('x')[0]} {each.series.lower()}"] = each
        if each.series == "ISO metric coarse":
            found[f"{plain}x{each.pitch * 1e3:g}"] = each
    return MappingProxyType(found)
