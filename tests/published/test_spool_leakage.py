"""Oil past a hydraulic spool: the worked example of a textbook."""

import numpy as np

from benchproof.physics.clearance_flow import annulus_flow
from sources import source


@source("R. W. Fox, A. T. McDonald, Introduction to Fluid Mechanics, Example 8.1",
        kind="from memory")  # fmt: skip
def test_leakage_flow_past_a_piston() -> None:
    flow = annulus_flow(
        diameter=0.025, radial_gap=5e-6, length=0.015, pressure_drop=19e6, viscosity=0.018
    )
    np.testing.assert_allclose(flow, 57.6e-9, rtol=0.002, atol=0.0)
