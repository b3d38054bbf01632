"""A size as it would be at 20 degrees Celsius, from one measured warm.

Source: ISO 1:2022 (sizes are stated at 20 degrees Celsius). The instrument is taken to be of steel
and at the temperature of the room, the part at its own.
"""

from __future__ import annotations

from math import hypot

from benchproof.tables.materials import material

AT = 293.15
STEEL = 11.5e-6  # 1/K, of a gauge
KNOWN_WITHIN = 1.0  # K, of a part's or a room's temperature


def at_twenty(
    size: float,
    u: float,
    *,
    of: str | None,
    part_temperature: float | None,
    room_temperature: float | None,
) -> tuple[float, float]:
    """Size [m] and doubt [m] at 20 C of a part ``of`` a material, from what the gauge said.

    Without a temperature, or of an unknown material, both stay as they are. One temperature alone
    stands for both.
    """
    temperatures = [t for t in (part_temperature, room_temperature) if t is not None]
    if of is None or not temperatures:
        return size, u
    part = part_temperature if part_temperature is not None else temperatures[0]
    room = room_temperature if room_temperature is not None else temperatures[0]
    expansion = material(of).expansion
    change = STEEL * (room - AT) - expansion.value * (part - AT)
    apart = part_temperature is not None and room_temperature is not None
    doubt = expansion.u * (part - AT)
    thermometer = (hypot(expansion.value, STEEL) if apart else expansion.value - STEEL) * (
        KNOWN_WITHIN
    )
    return size * (1.0 + change), hypot(u, size * doubt, size * thermometer)
