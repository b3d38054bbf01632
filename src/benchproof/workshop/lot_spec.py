"""What a builder states for a lot: limits of the one feature that decides, and how it is made."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Final

from pydantic import model_validator

from benchproof.features import PROCESSES
from benchproof.physics.errors import OutOfRange
from benchproof.quantities import LENGTH
from benchproof.specs import Choice, Count, FieldError, Fraction, Length, Number, Spec, Words
from benchproof.spread import Fixed, Spread, Uniform
from benchproof.tables.iso286 import UnknownTolerance, limits
from benchproof.workshop.guard_band import ISO_14253_FACTOR

LARGEST_SIZE: Final = 0.5  # m; tolerance units end there
MOST_WEAR: Final = 20e-6  # m per piece; more is no wear but a tool that moves
MOST_PIECES: Final = 2000
"""Most pieces of one lot whose readings are taken: four times the most good ones planned."""

_SIZE = {"minimum": 0.1e-3, "maximum": LARGEST_SIZE}
_LIMIT_EXAMPLE = 'lower = "7.990 mm" and upper = "8.002 mm"'
_USUAL_UNIT: Final = "mm"
_CAN_BE_CUT = ("no", "smaller", "larger")


class LotSpec(Spec):
    """Pieces made together: how many good ones, within which limits, and how they are made.

    Limits are stated as ``lower`` and ``upper``, as ``nominal`` with ``iso_class`` (h7, H8), or
    as ``nominal`` with ``plus_or_minus``.
    """

    wanted: Annotated[
        int, Count("good ones wanted", "how many must be in limits", minimum=1, maximum=500)
    ]
    lower: Annotated[float | None, Length("lower limit", "smallest true size", **_SIZE)] = None
    upper: Annotated[float | None, Length("upper limit", "largest true size", **_SIZE)] = None
    nominal: Annotated[float | None, Length("nominal size", **_SIZE)] = None
    iso_class: Annotated[
        str | None, Words("ISO class", "of ISO 286, such as h7 for a shaft or H8 for a hole", 8)
    ] = None
    plus_or_minus: Annotated[
        float | None,
        Length("plus or minus", "half of what the limits are apart", minimum=1e-7, maximum=5e-3),
    ] = None
    process: Annotated[
        str,
        Choice("process", tuple(k for k, kind in PROCESSES.items() if kind.unit != "rad")),
    ] = "turn"
    correction: Annotated[
        str, Choice("can be cut again", _CAN_BE_CUT, "a piece outside can still be made so")
    ] = "no"
    instrument: Annotated[str | None, Words("instrument", "every piece is read with", 60)] = None
    u: Annotated[
        float | None,
        Length(
            "standard uncertainty",
            "of a reading, in place of an instrument",
            unit="um",
            minimum=0.0,
            maximum=1e-3,
        ),
    ] = None
    zero_share: Annotated[
        float,
        Fraction("share of the zero", "of the gauge's variance, in all readings alike"),
    ] = 0.5
    guard: Annotated[
        float,
        Number(
            "guard band",
            "standard uncertainties inside the limits to accept a reading",
            minimum=0.0,
            maximum=5.0,
        ),
    ] = ISO_14253_FACTOR
    wear: Annotated[
        Spread,
        Length(
            "wear",
            "by which each piece is larger than the one before; negative for smaller",
            unit="um",
            minimum=-MOST_WEAR,
            maximum=MOST_WEAR,
        ),
    ] = Fixed(0.0)
    setting_share: Annotated[
        Spread,
        Fraction(
            "setting's share",
            "of the spread's square that pieces of one setting have in common",
            minimum=0.0,
            maximum=1.0,
        ),
    ] = Uniform(0.2, 0.8)
    interval: Annotated[
        int | None,
        Count("pieces to a setting", "the best is found if left out", minimum=1, maximum=500),
    ] = None
    aim: Annotated[
        float | None,
        Length("aim", "true size wanted of a first piece; the best is found", **_SIZE),
    ] = None
    first_off: Annotated[
        int, Count("first pieces read", "of each setting; 0 for none", minimum=0, maximum=10)
    ] = 2
    dial: Annotated[
        float,
        Length("error of a moved stop", "standard deviation", unit="um", minimum=0.0, maximum=1e-4),
    ] = 2e-6
    chance: Annotated[
        float,
        Fraction("chance", "of enough good ones", minimum=0.5, maximum=0.999),
    ] = 0.95

    @model_validator(mode="after")
    def _one_pair_of_limits(self) -> LotSpec:
        """Refuse limits stated in no way, or in two."""
        if self.u is not None and self.instrument is not None:
            raise FieldError("u", "give either u or the instrument, and not both")
        plain = self.lower is not None or self.upper is not None
        others = (self.nominal, self.iso_class, self.plus_or_minus)
        if plain and any(each is not None for each in others):
            raise FieldError(
                "lower" if self.lower is not None else "upper",
                "give limits, or a nominal size with its class or tolerance, and not both",
                example=_LIMIT_EXAMPLE,
            )
        if plain:
            self._check_plain()
            return self
        if self.nominal is None:
            raise FieldError(
                "lower",
                "no limits are stated: give lower and upper, or nominal with iso_class or "
                "plus_or_minus",
                example=_LIMIT_EXAMPLE,
            )
        if (self.iso_class is None) == (self.plus_or_minus is None):
            raise FieldError(
                "nominal",
                "give iso_class or plus_or_minus beside nominal, and not both",
                example='nominal = "8 mm" and iso_class = "h7"',
            )
        try:
            lower, upper = self.limits
        except UnknownTolerance as unknown:
            raise FieldError(
                "iso_class", f"is not held here: {unknown.allowed}", example='iso_class = "h7"'
            ) from None
        except OutOfRange as wrong:
            raise FieldError("nominal", str(wrong)) from None
        if not 0.0 < lower < upper <= LARGEST_SIZE:
            raise FieldError("plus_or_minus", "leaves no size: it is larger than the nominal size")
        return self

    def _check_plain(self) -> None:
        if self.lower is None or self.upper is None:
            missing = "lower" if self.lower is None else "upper"
            raise FieldError(missing, "is not stated; both limits are", example=_LIMIT_EXAMPLE)
        if not self.lower < self.upper:
            raise FieldError(
                "lower", "must be smaller than the upper limit", example=_LIMIT_EXAMPLE
            )

    @property
    def limits(self) -> tuple[float, float]:
        """Lower and upper limit of the true size [m]."""
        if self.lower is not None and self.upper is not None:
            return self.lower, self.upper
        assert self.nominal is not None  # the validator refuses a spec without any limits
        if self.plus_or_minus is not None:
            return self.nominal - self.plus_or_minus, self.nominal + self.plus_or_minus
        zone = limits(self.iso_class or "", self.nominal)
        return self.nominal + zone.lower, self.nominal + zone.upper

    @property
    def middle(self) -> float:
        """Middle of the limits [m]."""
        lower, upper = self.limits
        return 0.5 * (lower + upper)


def unit_of_limits(stated: Mapping[str, object]) -> str:
    """Unit that the limits of a lot are stated in, which its bare readings are taken in too.

    ``stated`` is what a lot file states. That of the first limit stated, where they differ.
    """
    for name in ("lower", "upper", "nominal"):
        text = str(stated.get(name) or "").strip()
        if text:
            written = re.search(r"[^0-9.,/+\-\s½¼¾⅛⅜⅝⅞][^0-9]*$", text)
            found = LENGTH.find(written[0]) if written else None
            return _USUAL_UNIT if found is None else found.symbol
    return _USUAL_UNIT
