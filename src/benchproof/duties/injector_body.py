"""What an injector's cones go into: their tube with its holes, and the clack on the delivery side.

Where nothing is printed the sizes are choices: each says the rule it follows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, pi, sqrt
from typing import TYPE_CHECKING, Final

from benchproof.drawing import (
    Circle,
    Diameter,
    Hatched,
    Line,
    Linear,
    Polyline,
    Shape,
    Step,
    TurnedPart,
    View,
    mirrored,
)
from benchproof.duties.injector_model import COMBINING, DELIVERY, MOUTH, NOSE, STEAM

if TYPE_CHECKING:
    from benchproof.duties.injector_layout import Layout
    from benchproof.duties.injector_spec import InjectorSpec

TUBE_WALL: Final = 0.25
"""Wall of the tube over its bore, and no less than 1 mm: common practice."""
HOLES: Final = 4
"""Holes round the tube at each gap: a choice."""
BALL_OVER_SEAT: Final = sqrt(2.0)
"""Ball of the clack over its seat's bore: it then sits on the edge at 45 degrees (geometry)."""
LIFT_OVER_SEAT: Final = 0.25
"""Lift at which the way out under the ball is as large as the seat's bore (geometry)."""

_LEAST_WALL: Final = 1e-3
_DRILLS: Final = 0.1e-3
_BALLS: Final = 0.5e-3
_PLACES: Final = 0.05e-3
_OVER_GAP: Final = 4.0  # of the overflow gap's own area: ways out to the chamber

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Body:
    """Places along the tube from the steam cone's back face, and sizes [m].

    nose, draft, combining, delivery: where each begins, or the nose ends. length, outside: of the
    tube. water_at: middle of the water's port. first_gap_at, overflow_gap_at: middles of the
    holes. hole: diameter of each. way_out: area of the holes of one gap [m²]. seat, ball, lift,
    chamber: of the clack.
    """

    nose: float
    draft: float
    combining: float
    delivery: float
    length: float
    outside: float
    water_at: float
    first_gap_at: float
    overflow_gap_at: float
    hole: float
    way_out: float
    seat: float
    ball: float
    lift: float
    chamber: float


def body_of(spec: InjectorSpec, layout: Layout, size: Mapping[str, float]) -> Body:
    """Tube and clack for cones that stand as laid out; ``size`` [m] of every feature."""
    nose = layout.steam_back + layout.steam_cone
    draft = nose - layout.nose_depth
    combining = draft + layout.draft + layout.first_gap
    delivery = combining + layout.combining + layout.overflow_gap
    gap_area = pi * size[COMBINING] * layout.overflow_gap
    way_out = max(_OVER_GAP * gap_area, 0.25 * pi * size[MOUTH] ** 2)
    hole = _up(sqrt(4.0 * way_out / (pi * HOLES)), _DRILLS)
    seat = layout.feed_pipe
    ball = _up(BALL_OVER_SEAT * seat, _BALLS)
    return Body(
        nose=nose,
        draft=draft,
        combining=combining,
        delivery=delivery,
        length=delivery + layout.delivery,
        outside=_up(spec.tube_bore + 2.0 * max(TUBE_WALL * spec.tube_bore, _LEAST_WALL), _BALLS),
        water_at=_near(0.5 * (nose - layout.nose_length + draft), _PLACES),
        first_gap_at=_near(combining - 0.5 * layout.first_gap, _PLACES),
        overflow_gap_at=_near(delivery - 0.5 * layout.overflow_gap, _PLACES),
        hole=hole,
        way_out=0.25 * pi * hole**2 * HOLES,
        seat=seat,
        ball=ball,
        lift=LIFT_OVER_SEAT * seat,
        # As much way past the ball as through the seat.
        chamber=_up(sqrt(ball**2 + seat**2), _BALLS),
    )


def tube_and_clack(
    spec: InjectorSpec, layout: Layout, size: Mapping[str, float]
) -> tuple[View, View, View]:
    """Draw the cones in their tube, the tube with its holes, and the clack."""
    body = body_of(spec, layout, size)
    return _assembly(spec, layout, body, size), _tube(spec, layout, body), _clack(body)


def _assembly(spec: InjectorSpec, layout: Layout, body: Body, size: Mapping[str, float]) -> View:
    """Where the cones stand in their tube, and no diameters."""
    outer = 0.5 * spec.tube_bore
    shoulder = body.nose - layout.nose_length
    draft_end, combining_end = body.draft + layout.draft, body.combining + layout.combining
    cones: tuple[Corners, ...] = (
        (
            (0.0, 0.5 * size[MOUTH]),
            (layout.steam_back, 0.5 * size[STEAM]),
            (body.nose, 0.5 * size[MOUTH]),
            (body.nose, 0.5 * size[NOSE]),
            (shoulder, 0.5 * size[NOSE]),
            (shoulder, outer),
            (0.0, outer),
        ),
        (
            (body.draft, 0.5 * layout.widest),
            (draft_end, 0.5 * layout.draft_exit),
            (draft_end, outer),
            (body.draft, outer),
        ),
        (
            (body.combining, 0.5 * layout.combining_entry),
            (combining_end, 0.5 * size[COMBINING]),
            (combining_end, outer),
            (body.combining, outer),
        ),
        (
            (body.delivery, 0.5 * size[DELIVERY]),
            (body.length, 0.5 * layout.delivery_exit),
            (body.length, outer),
            (body.delivery, outer),
        ),
    )
    shapes: list[Shape] = []
    for number, cone in enumerate(cones):
        face = Hatched(cone, angle=pi / 4.0 if number % 2 == 0 else 3.0 * pi / 4.0)
        outline = Polyline(cone, closed=True)
        shapes += [face, mirrored(face), outline, mirrored(outline)]
    shapes.append(_centre_line(body.length))
    return View("Cones in their tube", tuple(shapes), kind="section").adding(
        Linear(start=(body.nose, -outer), end=(body.delivery, -outer), suffix="mouth to throat"),
        Linear(
            start=(draft_end, outer), end=(body.combining, outer), side="above", suffix="first gap"
        ),
        Linear(
            start=(combining_end, outer),
            end=(body.delivery, outer),
            side="above",
            suffix="overflow gap",
        ),
    )


def _tube(spec: InjectorSpec, layout: Layout, body: Body) -> View:
    """The tube in section: the water's port above, holes of both gaps above and below."""
    inner, outer = 0.5 * spec.tube_bore, 0.5 * body.outside
    half = 0.5 * body.hole
    gaps = [(at - half, at + half) for at in (body.first_gap_at, body.overflow_gap_at)]
    port = (body.water_at - 0.5 * layout.water_port, body.water_at + 0.5 * layout.water_port)
    shapes: list[Shape] = [_centre_line(body.length)]
    for sign, holes in ((1.0, [port, *gaps]), (-1.0, gaps)):
        for left, right in _between(holes, body.length):
            corners = tuple(
                (x, sign * y)
                for x, y in ((left, inner), (right, inner), (right, outer), (left, outer))
            )
            shapes += [Hatched(corners), Polyline(corners, closed=True)]
        for left, right in holes:
            shapes += [Line((left, sign * y), (right, sign * y)) for y in (inner, outer)]
            middle = 0.5 * (left + right)
            shapes.append(
                Line((middle, sign * 0.7 * inner), (middle, sign * 1.25 * outer), "centre")
            )
    shapes += [Line((x, -inner), (x, inner)) for x in (0.0, body.length)]
    return View("Tube", tuple(shapes), kind="section").adding(
        Linear(start=(0.0, -outer), end=(body.first_gap_at, -outer)),
        Linear(start=(0.0, -outer), end=(body.overflow_gap_at, -outer)),
        Linear(start=(0.0, -outer), end=(body.length, -outer)),
        Linear(start=(0.0, outer), end=(body.water_at, outer), side="above"),
        Linear(start=(port[0], outer), end=(port[1], outer), side="above", sign="Ø",
               suffix="water"),
        Linear(start=(gaps[1][0], outer), end=(gaps[1][1], outer), side="above", sign="Ø",
               count=2 * HOLES, suffix="overflow"),
        Linear(start=(0.0, -inner), end=(0.0, inner), direction="vertical", side="left",
               sign="Ø"),
        Linear(start=(body.length, -outer), end=(body.length, outer), direction="vertical",
               side="right", sign="Ø"),
    )  # fmt: skip


def _clack(body: Body) -> View:
    """Seat, ball and the room round it, the ball on its seat."""
    # On the seat's edge the ball's middle stands off by what a chord of the bore leaves.
    stands = sqrt(0.25 * (body.ball**2 - body.seat**2))
    under, room = body.seat, _up(stands + 0.5 * body.ball + body.lift, _PLACES)
    wall = max(TUBE_WALL * body.chamber, _LEAST_WALL)
    part = TurnedPart(
        outside=(Step(diameter=body.chamber + 2.0 * wall, length=under + room, show="none"),),
        inside=(Step(diameter=body.seat, length=under, show="diameter"),),
        inside_right=(Step(diameter=body.chamber, length=room),),
    )
    middle = under + stands
    return part.view("Clack", section="full").adding(
        Circle((middle, 0.0), 0.5 * body.ball),
        Diameter(centre=(middle, 0.0), radius=0.5 * body.ball, suffix="ball"),
    )


def _between(holes: Sequence[tuple[float, float]], length: float) -> list[tuple[float, float]]:
    """What a row of holes leaves of a wall, from its left end to its right one."""
    edges = [0.0, *(edge for hole in sorted(holes) for edge in hole), length]
    return [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b > a]


def _centre_line(length: float) -> Line:
    return Line((-0.05 * length, 0.0), (1.05 * length, 0.0), "centre")


def _near(length: float, step: float) -> float:
    return round(length / step) * step


def _up(length: float, step: float) -> float:
    """The next larger size [m] in a row of them."""
    return ceil(length / step - 1e-6) * step
