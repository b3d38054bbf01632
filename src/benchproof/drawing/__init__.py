"""One frozen model of a dimensioned drawing; what writes it out stands in `papers`.

A duty's ``drawing(spec, sizes)`` builds one from its spec and the answer's own sizes. Everything
is in metres at true size; scale, sheet, units and where each figure stands are settled by the
layout. A stepped pin with a blind hole, its journal held to the answer's limits:

>>> from benchproof.drawing import Corner, Drawing, Sized, Step, TurnedPart, size_of
>>> sizes = {"journal": Sized(9.98e-3, upper=0.004e-3, lower=-0.006e-3)}
>>> pin = TurnedPart(
...     outside=(
...         Step(diameter=16e-3, length=4e-3, start=Corner("chamfer", 0.5e-3)),
...         Step(
...             diameter=size_of(sizes, "journal", 10e-3), length=20e-3,
...             feature="journal", finish=0.8e-6,
...         ),
...         Step(diameter=6e-3, length=8e-3, thread="M6 × 0.75"),
...     ),
...     inside=(Step(diameter=4e-3, length=12e-3),),
... )
>>> drawing = Drawing(
...     "Crank pin", (pin.view("Pin", section="full"),), notes=("Break sharp edges.",),
...     material="silver steel",
... )
>>> [round(1e3 * each.nominal, 3) for each in drawing.of_feature("journal")]
[9.98]

``pin.view`` gives outline, cut face, centre line and every dimension the steps ask for (``show``
leaves some out); ``pin.end_view`` the part seen along its axis, and :func:`pitch_circle` and
:func:`hole` things to put on it: ``view.adding(*hole((0, 0), 3e-3))``. Whatever else there is to
say is added in the same way: shapes (:class:`Line`, :class:`Arc`, :class:`Circle`,
:class:`Polyline`, :class:`Hatched`), dimensions (:class:`Linear`, :class:`Diameter`,
:class:`Radius`, :class:`Angular`, :class:`TaperOf`, :class:`Chamfer`, :class:`Thread`) and marks
(:class:`Finish`, :class:`Datum`, :class:`Note`). A dimension takes ``size=sizes[...]`` for
nominal, limits and doubt at once, and ``feature`` for the duty's own name of it. A nominal must
agree with the points it is taken from.
"""

from benchproof.drawing.dimensions import (
    Angular,
    Chamfer,
    Diameter,
    Dimension,
    Linear,
    Radius,
    TaperOf,
    Thread,
)
from benchproof.drawing.geometry import (
    Arc,
    Circle,
    Hatched,
    Line,
    LineKind,
    Point,
    Polyline,
    Shape,
    mirrored,
    moved,
)
from benchproof.drawing.holes import hole, pitch_circle
from benchproof.drawing.marks import Datum, Finish, Mark, Note
from benchproof.drawing.profile import Corner, Step
from benchproof.drawing.sizes import Sized, Tolerance, size_of
from benchproof.drawing.turned import TurnedPart
from benchproof.drawing.views import Drawing, View

__all__ = [
    "Angular",
    "Arc",
    "Chamfer",
    "Circle",
    "Corner",
    "Datum",
    "Diameter",
    "Dimension",
    "Drawing",
    "Finish",
    "Hatched",
    "Line",
    "LineKind",
    "Linear",
    "Mark",
    "Note",
    "Point",
    "Polyline",
    "Radius",
    "Shape",
    "Sized",
    "Step",
    "TaperOf",
    "Thread",
    "Tolerance",
    "TurnedPart",
    "View",
    "hole",
    "mirrored",
    "moved",
    "pitch_circle",
    "size_of",
]
