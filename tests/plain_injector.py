"""The injector's equations solved one sample at a time, as one would by hand: scan, then halve.

No tables, no Newton, no quadratic: steam and water straight from the formulation, the feed by
scanning its flow downwards from the most that could come, the solid throat by a root finder.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from benchproof.physics import liquid_water, steam, wet_expansion
from benchproof.physics.errors import Array

BAR3 = 3e5


@dataclass
class Found:
    cause: str
    feed: float = 0.0
    temperature: float = 0.0
    chamber: float = 0.0
    velocity: float = 0.0
    delivered: float = 0.0
    highest: float = 0.0
    solid: bool = False


def plain_injector(  # noqa: PLR0915 - one long sum, as on paper
    s: dict[str, float],
    *,
    boiler: float,
    feed_temperature: float,
    air: float = 101325.0,
    head: float = 0.1,
    loss: float = 15e3,
) -> Found:
    area = {name: 0.25 * np.pi * s[name] ** 2 for name in s}
    rest = wet_expansion.steam_at_rest(pressure=boiler)
    hot = float(rest.enthalpy)
    critical = wet_expansion.critical_throat(pressure=boiler)
    steam_flow = s["steam_discharge"] * area["steam_throat"] * float(critical.flux)
    wanted = area["mouth"] / area["steam_throat"]

    def too_wide(pressure: float) -> float:
        flux = wet_expansion.jet_flux(rest=rest, pressure=pressure)
        return float(critical.flux / flux) - wanted

    mouth = brentq(too_wide, 1e3, float(critical.pressure), xtol=1e-4)
    cold = float(liquid_water.liquid_enthalpy(pressure=BAR3, temperature=feed_temperature))
    heavy = float(liquid_water.liquid_density(pressure=BAR3, temperature=feed_temperature))
    suction = air + heavy * 9.80665 * head
    ring = s["water_discharge"] * (area["draft_bore"] - area["nose"])

    def mixed(feed: Array) -> tuple[Array, Array]:
        heat = (steam_flow * hot + feed * cold) / (steam_flow + feed)
        kept = np.minimum(heat, 5.5e5)  # boiling at 3 bar: far beyond what can be a jet
        temperature = liquid_water.liquid_temperature(pressure=BAR3, enthalpy=kept)
        between = feed_temperature + s["mixing"] * (temperature - feed_temperature)
        return temperature, steam.saturation_pressure(temperature=between)

    boiling = float(steam.saturation_temperature(pressure=air))

    def surplus(feed: Array) -> Array:
        temperature, chamber = mixed(feed)
        inflow = ring * np.sqrt(2.0 * heavy * np.maximum(suction - chamber, 0.0))
        return np.where(temperature > boiling, -feed, inflow - feed)

    most = ring * np.sqrt(2.0 * heavy * suction)
    flows = np.linspace(most, 0.02 * most, 400)
    enough = np.flatnonzero(surplus(flows) >= 0.0)
    if not enough.size:
        return Found("not condensed")
    low, high = flows[enough[0]], flows[enough[0] - 1]
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if surplus(np.array(middle)) >= 0.0 else (low, middle)
    feed = float(low)

    def jet(chamber: float, flow: float) -> tuple[float, float, float]:
        """Momentum, density and area of the jet."""
        leaving = max(mouth, 0.4 * chamber)
        velocity = float(wet_expansion.jet_velocity(rest=rest, pressure=leaving))
        impulse = steam_flow * 0.95 * velocity + (leaving - chamber) * area["mouth"]
        entering = s["feed_speed_kept"] * np.sqrt(2.0 * max(suction - chamber, 0.0) / heavy)
        momentum = s["momentum"] / 0.95 * impulse + flow * entering
        momentum -= (air - chamber) * area["combining_throat"]
        temperature, _ = mixed(np.array(flow))
        dense = float(liquid_water.liquid_density(pressure=BAR3, temperature=temperature))
        return momentum, dense, (steam_flow + flow) ** 2 / (dense * max(momentum, 1e-12))

    chamber = float(mixed(np.array(feed))[1])
    momentum, dense, thick = jet(chamber, feed)
    solid = thick > area["combining_throat"]
    if solid:

        def flow_at(pressure: float) -> float:
            return float(ring * np.sqrt(2.0 * heavy * max(suction - pressure, 0.0)))

        def excess(pressure: float) -> float:
            momentum, dense, _ = jet(pressure, flow_at(pressure))
            total = steam_flow + flow_at(pressure)
            return float(total**2 - dense * area["combining_throat"] * momentum)

        # With the feed all but shut off the mixture boils: no jet of water there.
        shut = suction - 0.5 / heavy * (steam_flow * 4.5 / ring) ** 2
        if shut <= chamber or excess(shut) >= 0.0:
            return Found("choked")
        chamber = brentq(excess, chamber, shut, xtol=1e-6)
        feed = flow_at(chamber)
        momentum, dense, _ = jet(chamber, feed)
        temperature, vapour = mixed(np.array(feed))
        if vapour > chamber or temperature > boiling:
            return Found("choked")
    total = steam_flow + feed
    velocity = momentum / total
    delivered = min(dense * area["delivery_throat"] * velocity, total)
    wide = (area["delivery_throat"] / area["delivery_exit"]) ** 2
    highest = air + s["recovery"] * 0.5 * dense * velocity**2 * (1.0 - wide)
    cause = "runs" if highest >= boiler + loss else "short"
    warmth = float(mixed(np.array(feed))[0])
    return Found(cause, feed, warmth, chamber, velocity, delivered, highest, solid)
