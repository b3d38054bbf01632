from pathlib import Path

import pytest

from benchproof.features import PROCESSES
from benchproof.quantities import System
from benchproof.workshop.lathe import Lathe, assumed_lathe, load_lathe, prior_of, report

RECORD = """
name = "Bench lathe"
invented = true
notes = "Chuck reground."

[standing.bore]
parts = 9
at = "40 mm"
bias = "1 µm"
spread = "4 µm"

[instrument."depth gauge with a name so long that its line must be broken in the report"]
u = "0.5 thou"
"""


@pytest.fixture
def lathe(tmp_path: Path) -> Lathe:
    file = tmp_path / "lathe.toml"
    file.write_text(RECORD, encoding="utf-8")
    return load_lathe(file)


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_the_report_fits_the_page_and_names_everything(lathe: Lathe, system: System) -> None:
    for each in (lathe, assumed_lathe()):
        lines = report(each, system=system)
        assert max(map(len, lines)) <= 80
        assert len(lines) < 4 * (len(PROCESSES) + len(each.instruments))
        told = " ".join(" ".join(lines).split())
        for key in [*PROCESSES, *each.instruments]:
            assert key in told


def test_a_report_says_where_it_comes_from(lathe: Lathe) -> None:
    told = "\n".join(report(lathe))
    assert "Invented" in told
    assert "Chuck reground." in told
    assert "shown by 9 parts" in told
    assumed = "\n".join(report(assumed_lathe()))
    assert "a careful builder is assumed throughout" in assumed
    assert "Invented" not in assumed


def test_an_assumed_lathe_is_the_prior_itself() -> None:
    assumed = assumed_lathe()
    assert assumed.assumed
    for key, kind in PROCESSES.items():
        standing = assumed.standings[key]
        assert standing.parts == 0
        assert standing.prior == prior_of(kind)
        assert standing.spread_quantile(0.5) == pytest.approx(kind.typical_spread, rel=1e-6)
        one_sd_up = float(standing.spread_at(1.0)) / kind.typical_spread
        assert one_sd_up == pytest.approx(kind.spread_factor, rel=1e-3)


def test_a_lathe_without_every_process_is_refused() -> None:
    standings = {"bore": assumed_lathe().standings["bore"]}
    with pytest.raises(ValueError, match="no standing for turn"):
        Lathe("half a lathe", standings)
