"""The rim under a tyre, from what its builder says of the wheel."""

from __future__ import annotations

from typing import Final

from benchproof.duties.tyre_spec import SPOKED, WEB, TyreSpec
from benchproof.physics.rims import Rim, rim_of, spoke_share, spoke_support, web_support
from benchproof.spread import Fixed, Spread, Uniform

LEAST_SUPPORT: Final = 0.5  # of what bending alone leaves of the spokes' support (judgement)


def support_of(spec: TyreSpec) -> float:
    """Support of the rim from within [-], spokes as if spread evenly round it."""
    if spec.wheel_is == WEB:
        assert spec.web_thickness is not None
        return web_support(
            thickness=spec.web_thickness,
            width=spec.width,
            poisson=spec.wheel.poisson_ratio.value,
        )
    if spec.wheel_is != SPOKED:
        return 0.0
    assert spec.spokes is not None
    assert spec.rim_inside is not None
    assert spec.hub_diameter is not None
    assert spec.spoke_width is not None
    assert spec.spoke_thickness is not None
    return spoke_support(
        spokes=spec.spokes,
        section=spec.spoke_width * spec.spoke_thickness,
        length=0.5 * (spec.rim_inside - spec.hub_diameter),
        width=spec.width,
    )


def wheel_rim(spec: TyreSpec) -> Rim:
    """How the rim gives; a solid wheel is a rim without an inside."""
    return rim_of(
        seat=spec.seat,
        inside=spec.rim_inside or 0.0,
        support=support_of(spec),
        poisson=spec.wheel.poisson_ratio.value,
    )


def spokes_bear(spec: TyreSpec) -> Spread:
    """Share of the spokes' support that bears on the rim [-]; all of a web's."""
    if spec.wheel_is != SPOKED:
        return Fixed(1.0)
    if spec.spoke_bearing is not None:
        return spec.spoke_bearing
    assert spec.spokes is not None
    assert spec.rim_inside is not None
    bending = spoke_share(
        spokes=spec.spokes, support=support_of(spec), seat=spec.seat, inside=spec.rim_inside
    )
    return Uniform(LEAST_SUPPORT * bending, 1.0)
