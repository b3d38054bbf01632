"""The reference injector, and the family of full-size cones, on which checks of injectors stand."""

from __future__ import annotations

from benchproof.physics.injector import Injector, prepare
from benchproof.physics.injector_coefficients import DEFAULTS
from benchproof.physics.wet_expansion import PSI

AIR = 101325.0

REFERENCE = {
    "steam_throat": 0.90e-3,
    "mouth": 1.30e-3,
    "nose": 1.60e-3,
    "draft_bore": 2.0046e-3,
    "combining_throat": 0.62e-3,
    "delivery_throat": 0.55e-3,
    "delivery_exit": 2.0e-3,
    **DEFAULTS,
}
"""Small injector: ring set for 5 % spill at 6 bar gauge, feed at 15 °C."""


def at_gauge(bar: float, celsius: float = 15.0, *, head: float = 0.1, **other: float) -> Injector:
    """Tables at a gauge pressure [bar] and a feed temperature [°C]."""
    air = other.get("air_pressure", AIR)
    return prepare(
        boiler_pressure=bar * 1e5 + air, feed_temperature=celsius + 273.15, head=head, **other
    )


def full_size(ring: float, ratio: float) -> dict[str, float]:
    """Cones of a 4 mm delivery throat: ``ring`` over steam throat and area ``ratio`` [-]."""
    delivery = 4e-3
    steam = delivery * ratio**0.5
    mouth = steam * 2.3**0.5
    nose = 1.2 * mouth
    return {
        **DEFAULTS,
        "steam_throat": steam,
        "mouth": mouth,
        "nose": nose,
        "draft_bore": (nose**2 + ring * steam**2) ** 0.5,
        "combining_throat": 1.1 * delivery,
        "delivery_throat": delivery,
        "delivery_exit": 4.0 * delivery,
        "water_discharge": 1.0,
    }


def fahrenheit(degrees: float) -> float:
    """Temperature [K] of degrees Fahrenheit."""
    return (degrees - 32.0) / 1.8 + 273.15


def psi_gauge(pounds: float) -> float:
    """Absolute pressure [Pa] of pounds per square inch above the atmosphere."""
    return pounds * PSI + AIR
