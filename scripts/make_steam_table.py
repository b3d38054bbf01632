"""Write the table of saturated water and steam that ``benchproof.physics.steam`` reads.

Values come from CoolProp's IF97 backend, viscosity from IAPWS R12-08 at its densities. The
slopes are those of the cubic spline through the values (not-a-knot ends), so that the reader
needs no spline library. Run from the root of the project:

    python scripts/make_steam_table.py
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from CoolProp import CoolProp
from scipy.interpolate import CubicSpline

from benchproof.physics.saturation_line import HIGHEST_PRESSURE, LOWEST_PRESSURE
from benchproof.physics.steam_viscosity import viscosity_of_water

KNOTS = 301
WHERE = Path(__file__).parents[1] / "src/benchproof/physics/data/saturated_steam.csv"


def main() -> None:
    """Tabulate, and write the file."""
    log_pressure = np.linspace(np.log(LOWEST_PRESSURE), np.log(HIGHEST_PRESSURE), KNOTS)
    liquid, vapour = (_saturated(np.exp(log_pressure), quality) for quality in (0.0, 1.0))
    quantities = {
        "log_vapour_density": np.log(vapour["density"]),
        "liquid_density": liquid["density"],
        "vapour_enthalpy": vapour["enthalpy"],
        "liquid_enthalpy": liquid["enthalpy"],
        "vapour_viscosity": viscosity_of_water(
            temperature=vapour["temperature"], density=vapour["density"]
        ),
        "liquid_viscosity": viscosity_of_water(
            temperature=liquid["temperature"], density=liquid["density"]
        ),
    }
    columns = {"log_pressure": log_pressure}
    for name, value in quantities.items():
        columns[name] = value
        columns[f"{name}_slope"] = CubicSpline(log_pressure, value)(log_pressure, 1)
    lines = [",".join(columns)]
    lines += [
        ",".join(f"{cell:.16g}" for cell in row) for row in zip(*columns.values(), strict=True)
    ]
    WHERE.parent.mkdir(exist_ok=True)
    WHERE.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _saturated(pressures: np.ndarray, quality: float) -> dict[str, np.ndarray]:
    state = CoolProp.AbstractState("IF97", "Water")
    found = []
    for pressure in pressures:
        state.update(CoolProp.PQ_INPUTS, float(pressure), quality)
        found.append((state.T(), state.rhomass(), state.hmass()))
    return dict(zip(("temperature", "density", "enthalpy"), np.array(found).T, strict=True))


if __name__ == "__main__":
    main()
