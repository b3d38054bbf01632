"""The JSON of an answer: SI, units named, and every key a program may lean on."""

from __future__ import annotations

import contextlib
import io
import json
import math
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from benchproof.cli import ANSWERED, NO_FIT, run

DEMO = files("benchproof.demo")
PISTON, DROPS, MADE = (str(DEMO / name) for name in ("piston.toml", "drop.toml", "made.toml"))


def asked(words: list[str], *, code: int = ANSWERED) -> dict[str, Any]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        assert run([*words, "--json"]) == code
    assert not err.getvalue()
    answer: dict[str, Any] = json.loads(out.getvalue(), parse_constant=refuse)
    return answer


def refuse(constant: str) -> None:
    raise AssertionError(f"{constant} is no JSON")


@pytest.fixture(scope="module")
def answer() -> dict[str, Any]:
    return asked(["size", "piston-fit", PISTON])


@pytest.fixture(scope="module")
def result() -> dict[str, Any]:
    return asked(["result", "drop-test", PISTON, DROPS, "--made", MADE])


KEYS = {
    "odds", "window", "aims", "merits", "causes", "flags", "cautions", "sources", "seed",
    "versions", "limits", "level", "duty", "draws", "known_from", "theory", "stepwise",
    "spec", "made",
}  # fmt: skip


def test_an_answer_has_all_its_keys(answer: dict[str, Any]) -> None:
    assert answer.keys() >= KEYS
    assert answer["made"] == {}
    assert answer["spec"]["bore"] == 30e-3
    assert answer["versions"].keys() >= {"benchproof", "numpy", "scipy"}


def test_odds_add_up(answer: dict[str, Any]) -> None:
    odds = answer["odds"]
    total = odds["right"] + odds["correctable"] + odds["lost"]
    assert math.isclose(total, 1.0, rel_tol=0.0, abs_tol=1e-9)
    assert 0.0 < odds["sampling_error"] < 0.01
    for aim in answer["aims"]:
        assert aim.keys() >= {"purpose", "size", "value", "unit", "odds"}
    assert answer["aims"][1]["odds"]["right"] >= answer["aims"][0]["odds"]["right"]


def test_a_window_lies_in_order_and_says_of_what(answer: dict[str, Any]) -> None:
    window = answer["window"]
    assert window["of"] == "diametral clearance"
    assert window["unit"] == "m"
    for kind in ("plain", "odds"):
        bounds = window[kind]
        assert bounds.keys() >= {"lower", "upper", "reason"}
        assert 0.0 < bounds["lower"] < bounds["upper"] < 1e-4
        assert bounds["reason"] is None
    # Sizes as gauged leave less than sizes taken as exact.
    assert answer["limits"]["lower"] > window["odds"]["lower"]
    assert answer["limits"]["upper"] < window["odds"]["upper"]


def test_merits_carry_their_spread_unit_and_need(answer: dict[str, Any]) -> None:
    merits = {merit["name"]: merit for merit in answer["merits"]}
    assert merits["steam_rate"]["unit"] == "kg/s"
    for merit in merits.values():
        assert merit["p5"] <= merit["median"] <= merit["p95"]
        assert merit["label"]
    need = merits["steam_share"]["need"]
    assert need["limit"] == 0.05
    assert need["direction"] == "at most"
    assert 0.0 <= merits["steam_share"]["met"] <= 1.0
    assert merits["side_force"]["need"] is None


def test_causes_come_largest_first(answer: dict[str, Any]) -> None:
    gains = [cause["gain"] for cause in answer["causes"]]
    assert gains == sorted(gains, reverse=True)
    assert all(cause["label"] for cause in answer["causes"])


def test_the_same_question_has_the_same_answer_in_si(answer: dict[str, Any]) -> None:
    assert asked(["size", "piston-fit", PISTON, "--units", "inch"]) == answer


def test_a_result_has_what_was_read_and_what_was_learned(result: dict[str, Any]) -> None:
    assert result.keys() >= {*KEYS, "record", "measured", "before", "forecasts", "residuals"}
    assert result["record"]["reading"][4]["posture"] == "tilted"
    assert result["made"]["piston"] == {"size": 29.987e-3, "u": 2e-6, "aim": None}
    assert len(result["residuals"]) == result["readings"] == 6
    measured = {figure["name"]: figure for figure in result["measured"]}
    before = {figure["name"]: figure for figure in result["before"]}
    assert measured["conductance"]["unit"] == "m3"
    width = measured["clearance"]["p95"] - measured["clearance"]["p5"]
    assert width < 0.3 * (before["clearance"]["p95"] - before["clearance"]["p5"])


def test_no_window_is_null_with_a_reason(tmp_path: Path) -> None:
    spec = tmp_path / "hot.toml"
    text = (DEMO / "piston.toml").read_text(encoding="utf-8")
    spec.write_text(text.replace("10 ± 3 K", "40 to 70 K"), encoding="utf-8")
    answer = asked(["size", "piston-fit", str(spec)], code=NO_FIT)
    assert answer["window"]["odds"]["lower"] is None
    assert "at best" in answer["window"]["odds"]["reason"]
    assert answer["size_limits"] is None
