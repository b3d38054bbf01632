import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.features import PROCESSES
from benchproof.instruments import INSTRUMENTS
from benchproof.specs import SpecError
from benchproof.tables.iso286 import tolerance_unit
from benchproof.workshop.lathe import load_lathe, prior_of
from benchproof.workshop.lathe_file import read_lathe_file
from benchproof.workshop.standing import Summary, learn

GOOD = """
name = "Bench lathe"
invented = true
notes = "Chuck reground.\\nBearings adjusted."

[standing.bore]
parts = 9
at = "40 mm"
bias = "1 µm"
spread = "4 µm"
u = "2 µm"

[standing.place]
parts = 4
bias = "-5 µm"
spread = "0.8 thou"
weight = 0.25

[standing."graduated angle"]
parts = 6
bias = "0"
spread = "4 arcmin"

[[part]]
process = "turn"
aim = "29.980 mm"
came_out = "29.984 mm"
u = "2 µm"

[[part]]
process = "turn"
aim = "1 in"
came_out = "0.9998 in"
instrument = "bore gauge"
weight = 0.5

[[part]]
process = "clocked angle"
aim = "8°"
came_out = "8° 1 arcmin"
instrument = "protractor"

[[part]]
process = "place"
aim = "-3 mm"
came_out = "-3.02 mm"
instrument = "my depth gauge"

[instrument."bore gauge"]
u = "1 µm"

[instrument."my depth gauge"]
u = "0.5 thou"
name = "depth gauge"

[instrument.stopwatch]
u = "0.1"

[instrument.balance]
measures = "mass"
u = "0.1 g"
"""


def written(folder: Path, text: str) -> Path:
    file = folder / "lathe.toml"
    file.write_text(text, encoding="utf-8")
    return file


def refused(folder: Path, text: str) -> dict[str, str]:
    """Message per field of what is wrong with a file."""
    with pytest.raises(SpecError) as error:
        load_lathe(written(folder, text))
    for problem in error.value.problems:
        assert problem.label
        assert problem.message
    return {problem.field: str(problem) for problem in error.value.problems}


def test_sizes_become_process_units(tmp_path: Path) -> None:
    record = read_lathe_file(written(tmp_path, GOOD))
    unit = float(tolerance_unit(0.040))
    assert record.summaries["bore"] == Summary(9, 1e-6 / unit, 4e-6 / unit, 2e-6 / unit)
    place_summary = record.summaries["place"]
    assert place_summary.bias == pytest.approx(-5e-6, rel=1e-12)
    assert place_summary.spread == pytest.approx(20.32e-6, rel=1e-12)
    assert place_summary.weight == 0.25
    assert record.summaries["graduated angle"].spread == pytest.approx(math.radians(4 / 60))
    first, second = record.shown["turn"]
    unit = float(tolerance_unit(29.98e-3))
    assert first.deviation == pytest.approx(4e-6 / unit, rel=1e-9)
    assert first.u == pytest.approx(2e-6 / unit, rel=1e-12)
    unit = float(tolerance_unit(25.4e-3))
    assert second.deviation == pytest.approx(-5.08e-6 / unit, rel=1e-9)
    assert second.u == pytest.approx(1e-6 / unit, rel=1e-12)
    assert second.weight == 0.5
    (angle,) = record.shown["clocked angle"]
    assert angle.deviation == pytest.approx(math.radians(1 / 60), rel=1e-9)
    assert angle.u == INSTRUMENTS["protractor"].u
    (place,) = record.shown["place"]
    assert place.deviation == pytest.approx(-20e-6, rel=1e-9)
    assert place.u == pytest.approx(12.7e-6, rel=1e-12)


def test_a_stated_instrument_replaces_the_assumed_one(tmp_path: Path) -> None:
    instruments = load_lathe(written(tmp_path, GOOD)).instruments
    assert instruments["bore gauge"].u == pytest.approx(1e-6)
    assert instruments["bore gauge"].name == INSTRUMENTS["bore gauge"].name
    assert instruments["bore gauge"].source == "stated by the builder"
    assert instruments["stopwatch"].measures == "duration"
    assert instruments["balance"].u == pytest.approx(1e-4)
    assert instruments["balance"].name == "balance"
    assert instruments["caliper"] == INSTRUMENTS["caliper"]


def test_the_lathe_stands_on_its_parts(tmp_path: Path) -> None:
    lathe = load_lathe(written(tmp_path, GOOD))
    assert lathe.name == "Bench lathe"
    assert lathe.invented
    assert not lathe.assumed
    assert lathe.notes == ("Chuck reground.", "Bearings adjusted.")
    parts = {key: standing.parts for key, standing in lathe.standings.items()}
    assert parts == {
        "bore": 9,
        "turn": 2,
        "clocked angle": 1,
        "graduated angle": 6,
        "place": 5,
        **{
            key: 0
            for key in PROCESSES
            if key not in {"bore", "turn", "clocked angle", "graduated angle", "place"}
        },
    }
    record = read_lathe_file(tmp_path / "lathe.toml")
    alone = learn(prior_of(PROCESSES["bore"]), summary=record.summaries["bore"])
    np.testing.assert_array_equal(lathe.standings["bore"].probability, alone.probability)


def test_a_grade_says_the_same_as_its_spread(tmp_path: Path) -> None:
    text = 'name = "L"\n[standing.bore]\nparts = 5\nat = "25 mm"\nbias = "0"\n'
    by_grade = read_lathe_file(written(tmp_path, text + "grade = 7"))
    # IT7 is 16 tolerance units, filled by six sigma.
    assert by_grade.summaries["bore"].spread == pytest.approx(16.0 / 6.0, rel=0.01)


def test_the_smallest_file_is_a_name(tmp_path: Path) -> None:
    lathe = load_lathe(written(tmp_path, 'name = "L"'))
    assert lathe.assumed
    assert dict(lathe.instruments) == dict(INSTRUMENTS)


@pytest.mark.parametrize(
    ("text", "field", "words"),
    [
        ("", "name", "not stated"),
        ('name = "L"\nbed = "1 m"', "bed", "not a field"),
        ('name = "L"\nstanding = 3', "standing", "group of groups"),
        ('name = "L"\n[standing]\nbore = 3', "standing.bore", "must be a group"),
        ('name = "L"\n[standing.boring]\nparts = 3', "standing.boring", "try bore"),
        ('name = "L"\n[standing.bore]\nparts = 0', "standing.bore.parts", "1"),
        ('name = "L"\n[standing.bore]\nparts = 3', "standing.bore.at", "not stated"),
        (
            'name = "L"\n[standing.bore]\nparts=3\nat="0"\nbias="0"\nspread="1 µm"',
            "standing.bore.at",
            "0.1 mm",
        ),
        (
            'name = "L"\n[standing.bore]\nparts=3\nat="9 mm"\nbias="0"',
            "standing.bore.spread",
            "either spread or grade",
        ),
        (
            'name = "L"\n[standing.bore]\nparts=3\nat="9 mm"\nbias="0"\nspread="1 µm"\ngrade=7',
            "standing.bore.spread",
            "not both",
        ),
        (
            'name = "L"\n[standing.bore]\nparts=3\nat="9 mm"\nbias="0"\nspread="1 bar"',
            "standing.bore.spread",
            "bar",
        ),
        (
            'name = "L"\n[standing.bore]\nparts=3\nat="9 mm"\nbias="0"\nspread="1 m"',
            "standing.bore.spread",
            "1000 µm",
        ),
        (
            'name = "L"\n[standing.bore]\nparts=3\nat="9 mm"\nbias=nan\nspread="1 µm"',
            "standing.bore.bias",
            "finite",
        ),
        (
            'name = "L"\n[standing."clocked angle"]\nparts=3\nbias="0"\nspread="1 mm"',
            "standing.clocked angle.spread",
            "mm",
        ),
        ('name = "L"\npart = 3', "part", "put a line [[part]]"),
        ('name = "L"\npart = [3]', "part.0", "must be a group"),
        ('name = "L"\n[[part]]\naim = "9 mm"', "part.0.process", "known are bore"),
        ('name = "L"\n[[part]]\nprocess = ["turn"]', "part.0.process", "known are bore"),
        (
            'name = "L"\n[[part]]\nprocess="turn"\naim="9 mm"\ncame_out="9.5 in"\nu="1 µm"',
            "part.0.came_out",
            "mistyped",
        ),
        (
            'name = "L"\n[[part]]\nprocess="clocked angle"\naim="8°"\ncame_out="11°"\nu="1 arcmin"',
            "part.0.came_out",
            "2°",
        ),
        (
            'name = "L"\n[[part]]\nprocess="place"\naim="8 mm"\ncame_out="8 mm"',
            "part.0.u",
            "instrument",
        ),
        (
            'name = "L"\n[[part]]\nprocess="turn"\naim="8 mm"\ncame_out="8 mm"\n'
            'u="1 µm"\ninstrument="caliper"',
            "part.0.u",
            "not both",
        ),
        (
            'name = "L"\n[[part]]\nprocess="turn"\naim="8 mm"\ncame_out="8 mm"\n'
            'instrument="stopwatch"',
            "part.0.instrument",
            "micrometer",
        ),
        (
            'name = "L"\n[[part]]\nprocess="turn"\naim="8 mm"\ncame_out="8 mm"\nu="1 µm"\nweight=0',
            "part.0.weight",
            "0.01",
        ),
        ('name = "L"\n[instrument.clock]\nu = "0 µm"', "instrument.clock.u", "0 µm"),
        ('name = "L"\n[instrument.clock]\nu = -1', "instrument.clock.u", "-1"),
        ('name = "L"\n[instrument.new]\nu = 1\nmeasures = "luck"', "instrument.new.measures", "m"),
        ('name = "L"\n[instrument.new]\nu = 1\nmeasures = 3', "instrument.new.measures", "m"),
        ('name = "L"\ninstrument = [1]', "instrument", "group of groups"),
        ("name = ", "lathe.toml", "TOML"),
    ],
)
def test_what_is_wrong_is_named_by_its_field(
    tmp_path: Path, text: str, field: str, words: str
) -> None:
    problems = refused(tmp_path, text)
    assert field in problems
    assert words in problems[field]


def test_everything_wrong_is_told_at_once(tmp_path: Path) -> None:
    problems = refused(
        tmp_path, '[standing.bore]\nparts = "many"\n[[part]]\nprocess = "knit"\n[instrument.x]\n'
    )
    assert {"name", "standing.bore.parts", "part.0.process", "instrument.x.u"} <= set(problems)


def test_too_many_rows_are_refused(tmp_path: Path) -> None:
    row = '[[part]]\nprocess="turn"\naim="8 mm"\ncame_out="8 mm"\nu="1 µm"\n'
    assert "1001 rows" in refused(tmp_path, 'name = "L"\n' + row * 1001)["part"]
    groups = "".join(f"[instrument.a{number}]\n" for number in range(1001))
    assert "1001 groups" in refused(tmp_path, 'name = "L"\n' + groups)["instrument"]


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SpecError, match="does not exist"):
        load_lathe(tmp_path / "nowhere.toml")


VALUES = st.sampled_from(
    ['"9 mm"', '"turn"', '"1 µm"', "3", "-1e400", "nan", "true", "[]", "{}", '""', '"\\u0000"',
     "1979-05-27", "[[1]]", '{a = {b = 1}}', "99999999999999999999", '"8°"', '"caliper"']
)  # fmt: skip
KEYS = ("process", "aim", "came_out", "u", "instrument", "weight", "parts", "bias", "measures")


@given(
    table=st.sampled_from(
        ["[[part]]", "[standing.bore]", '[standing."one setting"]', "[instrument.clock]", "[part]"]
    ),
    fields=st.dictionaries(st.sampled_from(KEYS), VALUES, max_size=6),
)
@settings(max_examples=150, deadline=None)
def test_no_file_ends_in_anything_but_a_lathe_or_a_refusal(
    tmp_path_factory: pytest.TempPathFactory, table: str, fields: dict[str, str]
) -> None:
    rows = "\n".join(f"{key} = {value}" for key, value in fields.items())
    file = written(tmp_path_factory.getbasetemp(), f'name = "L"\n{table}\n{rows}\n')
    refusal: SpecError | None = None
    try:
        load_lathe(file)
    except SpecError as error:
        refusal = error
    assert refusal is None or refusal.problems


def test_the_order_of_the_parts_does_not_matter(tmp_path: Path) -> None:
    row = '[[part]]\nprocess="turn"\naim="8 mm"\ncame_out="{} mm"\nu="1 µm"\n'
    sizes = ["8.003", "7.999", "8.01", "8.0005"]
    ahead, back = (
        load_lathe(written(tmp_path, 'name = "L"\n' + "".join(row.format(s) for s in order)))
        for order in (sizes, sizes[::-1])
    )
    np.testing.assert_array_equal(
        ahead.standings["turn"].probability, back.standings["turn"].probability
    )
