"""A toy duty that is unlike a piston: plug and body of a cock whose tapers share one setting.

Its two features share an error, which a piston's never do. Closed form for a plug of length 2 D
with ports of 0.4 D: leakage of a wedge gap (own calculation of the flow between two cones).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from types import MappingProxyType
from typing import Annotated, ClassVar

import numpy as np

from benchproof.duties.contract import Duty, Merit, Need, Outcome, Samples, Unknown
from benchproof.features import Error, Feature
from benchproof.quantities import ANGLE, NUMBER
from benchproof.specs import Choice, Length, Number, Pressure, Spec
from benchproof.spread import LogNormal

DROP = 0.05e-6  # m3
WATER = 1.0016e-3  # Pa s at 20 degrees Celsius
TAPER_ANGLE = 2.0 * np.arctan(0.05)


class CockSpec(Spec):
    """What the toy cock must do."""

    version: ClassVar[int] = 1
    diameter: Annotated[float, Length("mean diameter", minimum=1e-3, maximum=20e-3)] = 3e-3
    pressure: Annotated[float, Pressure("pressure", unit="bar", minimum=1e4, maximum=20e5)] = 8e5
    angles: Annotated[
        str, Choice("how the angles are made", options=("one setting", "two settings"))
    ] = "one setting"
    drops_allowed: Annotated[float, Number("drops a minute", minimum=0.01, maximum=1000.0)] = 1.0


class CockModel:
    """Water past a closed plug."""

    def __init__(self, spec: CockSpec) -> None:
        self.spec = spec

    def perform(self, samples: Samples, *, only: Collection[str] | None = None) -> Outcome:
        """Mismatch of the included angles and the drops it lets through."""
        mismatch = np.abs(samples["plug angle"] - samples["body angle"])
        merits = {"mismatch": mismatch}
        if only is None or "drops" in only:
            wedge = 0.5 * mismatch * self.spec.diameter  # rise of the gap to mid length
            middle = samples["floor"] + wedge
            ratio = wedge / middle
            shape = 3.666 + 1.19 * ratio**2 + 0.03 * ratio**4
            flow = shape * middle**3 * self.spec.pressure / (12.0 * WATER)
            merits["drops"] = 60.0 * flow / DROP
        flags = {} if only is not None else {"weeps": merits["drops"] > 1.0}
        return Outcome(merits, flags)


class ToyCock(Duty[CockSpec]):
    """Plug and body, tapers cut at one top-slide setting or at two."""

    key = "toy-cock"
    title = "Toy cock"
    summary = "Two tapers that must agree."
    spec_type = CockSpec
    merits = (
        Merit("mismatch", "mismatch of the included angles", ANGLE),
        Merit("drops", "drops of water a minute", NUMBER),
    )
    flag_words = MappingProxyType({"weeps": "weeps at the bench"})
    theory = "A wedge between two cones."
    sources = ("own calculation",)

    def features(self, spec: CockSpec) -> Sequence[Feature]:
        shared = spec.angles == "one setting"
        body = "setting" if shared else "body setting"
        plug = "setting" if shared else "plug setting"
        return (
            Feature("body angle", TAPER_ANGLE, "body", ANGLE, gains={body: 2.0, "body rest": 1.0}),
            Feature(
                "plug angle",
                TAPER_ANGLE,
                "plug",
                ANGLE,
                gains={plug: 2.0, "plug rest": 1.0},
                cut_last=True,
            ),
        )

    def errors(self, spec: CockSpec) -> Sequence[Error]:
        settings = ["setting"] if spec.angles == "one setting" else ["body setting", "plug setting"]
        return [
            *(Error(name, "clocked angle", spec.diameter) for name in settings),
            Error("body rest", "one setting", spec.diameter),
            Error("plug rest", "one setting", spec.diameter),
        ]

    def unknowns(self, spec: CockSpec) -> Sequence[Unknown]:
        return [Unknown("floor", LogNormal(0.5e-6, 1.5), "gap left where they touch")]

    def prepare(self, spec: CockSpec) -> CockModel:
        return CockModel(spec)

    def needs(self, spec: CockSpec) -> Sequence[Need]:
        return [Need("drops", spec.drops_allowed, "at most", "it weeps")]

    def cautions(self, spec: CockSpec) -> Sequence[str]:
        return ["Keep clear of what it drains: hot water."]

    def aims_to_try(self, spec: CockSpec) -> tuple[float, float]:
        return (-2e-3, 2e-3)
