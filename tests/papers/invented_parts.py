"""Turned parts of every kind, drawn at random: nobody would make most of them."""

from __future__ import annotations

from hypothesis import strategies as st

from benchproof.drawing import Corner, Drawing, Sized, Step, TurnedPart

_HUNDREDTH = 1e-5


def sizes(least: int, most: int) -> st.SearchStrategy[float | Sized]:
    """Bare numbers and sizes with limits, in hundredths of a millimetre."""
    bare = st.integers(least, most).map(lambda hundredths: hundredths * _HUNDREDTH)
    micrometres = st.integers(0, 40).map(lambda um: um * 1e-6)
    limited = st.builds(
        lambda aim, up, low, doubtful: Sized(aim + 1e-6, up, -low - 2e-6, doubtful),
        bare,
        micrometres,
        micrometres,
        st.booleans(),
    )
    return bare | limited


@st.composite
def outside_steps(draw: st.DrawFn) -> Step:
    """A cylinder, a cone or a thread, with or without broken edges."""
    diameter = draw(sizes(400, 4000))
    length = draw(sizes(150, 3000))
    kind = draw(st.sampled_from(["plain", "plain", "cone", "thread"]))
    corner = st.none() | st.builds(
        Corner, st.sampled_from(["chamfer", "round"]), st.sampled_from([0.2e-3, 0.5e-3])
    )
    return Step(
        diameter=diameter,
        length=length,
        end_diameter=draw(sizes(400, 4000)) if kind == "cone" else None,
        thread="M8 × 1" if kind == "thread" else "",
        start=draw(corner) if kind != "cone" else None,
        end=draw(corner) if kind != "cone" else None,
        feature=draw(st.sampled_from(["", "journal", "seat"])),
        finish=draw(st.none() | st.just(0.8e-6)),
        datum=draw(st.sampled_from(["", "", "A"])),
    )


@st.composite
def turned_parts(draw: st.DrawFn) -> TurnedPart:
    """One to six outside steps, and up to three steps of a hole that stays inside them."""
    outside = draw(st.lists(outside_steps(), min_size=1, max_size=6))
    long = sum(step.span for step in outside)
    thin = min(min(step.first, step.last) for step in outside)
    count = draw(st.integers(0, 3))
    through = draw(st.booleans())
    inside = []
    for number in range(count):
        share = draw(st.sampled_from([0.1, 0.3, 0.5, 0.6]))
        inside.append(
            Step(
                diameter=share * thin,
                length=long / count if through else 0.25 * long / (number + 1),
                feature=draw(st.sampled_from(["", "bore"])),
            )
        )
    return TurnedPart(outside=tuple(outside), inside=tuple(inside))


def drawings() -> st.SearchStrategy[Drawing]:
    """A drawing of a random part, with or without its end view."""
    return st.builds(_drawing, turned_parts(), st.booleans(), st.sampled_from(["full", "half"]))


def _drawing(part: TurnedPart, end: bool, section: str) -> Drawing:
    views = [part.view("Part", section=section)]  # type: ignore[arg-type]
    if end:
        views.append(part.end_view("From the left"))
    return Drawing("Invented part", tuple(views), ("Invented.",), "brass", "X-1")
