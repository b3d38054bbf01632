import pytest

from benchproof.book.kinds import KINDS, default_u, spec_of, stated_body
from benchproof.book.records import canonical
from benchproof.specs import SpecError

STATED = {
    "workshop": {"name": "shed"},
    "machine": {"name": "lathe", "swing_over_bed": "12 in"},
    "instrument": {"name": "bore gauge", "u": "3 um", "checked": "2026-01-10"},
    "engine": {"name": "Wren", "gauge": "3 1/2 in", "boiler_pressure": "80 psi"},
    "part": {"name": "cylinder", "group": "cylinders and motion", "off": "2"},
    "piece": {"name": "left"},
    "lot": {"name": "ferrules", "wanted": "40", "nominal": "8 mm", "iso_class": "h7"},
    "past part": {"process": "bore", "aim": "30 mm", "came_out": "30.004 mm"},
    "event": {"what": "new bearings", "when": "2026-01-10", "trust": "0.5"},
    "scrapped": {"why": "chatter"},
    "note": {"text": "Cast in one piece."},
}


def test_every_kind_is_tried_here() -> None:
    assert set(STATED) == set(KINDS)


@pytest.mark.parametrize("kind", sorted(STATED))
def test_what_is_stated_is_kept_as_text_and_in_si(kind: str) -> None:
    body = stated_body(kind, STATED[kind])
    assert body["stated"] == STATED[kind]
    assert spec_of(kind, body) == KINDS[kind].from_text(STATED[kind]).spec
    assert canonical(body)


def test_readings_in_si() -> None:
    engine = spec_of("engine", stated_body("engine", STATED["engine"]))
    assert engine.gauge == pytest.approx(88.9e-3, rel=1e-12)
    assert engine.boiler_pressure == pytest.approx(80 * 6894.757, rel=1e-6)
    gauge = spec_of("instrument", stated_body("instrument", STATED["instrument"]))
    assert gauge.u == pytest.approx(3e-6, rel=1e-12)


@pytest.mark.parametrize("kind", sorted(STATED))
def test_every_problem_is_told(kind: str) -> None:
    with pytest.raises(SpecError) as refused:
        stated_body(kind, {"colour": "green"})
    told = {problem.field for problem in refused.value.problems}
    missing = {name for name, field in KINDS[kind].model_fields.items() if field.is_required()}
    assert told == {"colour", *missing}


@pytest.mark.parametrize(
    ("kind", "name", "given"),
    [
        ("engine", "boiler_pressure", "5 mm"),
        ("part", "group", "wings"),
        ("part", "off", "0"),
        ("past part", "process", "planing"),
        ("past part", "aim", "30 s"),
        ("event", "trust", "0"),
        ("event", "trust", "1.5"),
        ("instrument", "u", "-1 um"),
    ],
)
def test_what_cannot_be_is_refused(kind: str, name: str, given: str) -> None:
    with pytest.raises(SpecError) as refused:
        stated_body(kind, {**STATED[kind], name: given})
    assert [problem.field for problem in refused.value.problems] == [name]


def test_instruments_of_the_trade_measure_lengths() -> None:
    assert default_u("micrometer") == pytest.approx(3e-6, rel=1e-12)
    assert default_u("stopwatch") is None
    assert default_u("eye") is None
