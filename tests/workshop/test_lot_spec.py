"""What a lot file may state of limits, and what is refused, by field."""

from typing import Any

import pytest

from benchproof.specs import SpecError
from benchproof.workshop.lot_spec import LotSpec
from benchproof.workshop.usual_gauges import usual_gauge
from sources import source

WANTED = {"wanted": "40"}


def limits(**stated: Any) -> tuple[float, float]:
    return LotSpec.from_text({**WANTED, **stated}).spec.limits


def test_limits_are_stated_in_three_ways() -> None:
    same = pytest.approx((7.99e-3, 8.01e-3), rel=1e-12)
    assert limits(lower="7.99 mm", upper="8.01 mm") == same
    assert limits(nominal="8", plus_or_minus="10 um") == same
    assert limits(nominal="0.315 in", plus_or_minus="1 thou") == pytest.approx(
        (0.314 * 25.4e-3, 0.316 * 25.4e-3), rel=1e-12
    )


@source("ISO 286-2:2010, limits of h7 and H8 over 6 to 10 mm", kind="from memory")
def test_an_iso_class_gives_the_limits_of_the_table() -> None:
    assert limits(nominal="8 mm", iso_class="h7") == pytest.approx((7.985e-3, 8e-3), rel=1e-12)
    assert limits(nominal="8 mm", iso_class="H8") == pytest.approx((8e-3, 8.022e-3), rel=1e-12)


@pytest.mark.parametrize(
    ("stated", "field", "words"),
    [
        ({}, "lower", "no limits are stated"),
        ({"lower": "8 mm"}, "upper", "both limits"),
        ({"upper": "8 mm"}, "lower", "both limits"),
        ({"lower": "8 mm", "upper": "8 mm"}, "lower", "smaller than the upper"),
        ({"lower": "8 mm", "upper": "9 mm", "nominal": "8 mm"}, "lower", "not both"),
        ({"upper": "9 mm", "iso_class": "h7"}, "upper", "not both"),
        ({"nominal": "8 mm"}, "nominal", "iso_class or plus_or_minus"),
        ({"nominal": "8 mm", "iso_class": "h7", "plus_or_minus": "1 um"}, "nominal", "not both"),
        ({"nominal": "8 mm", "iso_class": "h77"}, "iso_class", "grades held"),
        ({"nominal": "8 mm", "iso_class": "seven"}, "iso_class", "write a hole as H7"),
        ({"nominal": "400 mm", "iso_class": "p7"}, "nominal", "diameter"),
        ({"nominal": "0.2 mm", "plus_or_minus": "1 mm"}, "plus_or_minus", "leaves no size"),
        ({"nominal": "8 mm", "iso_class": "h7", "u": "1 um", "instrument": "x"}, "u", "not both"),
        ({"nominal": "8 mm", "iso_class": "h7", "wear": "1 mm"}, "wear", "too much"),
        ({"nominal": "8 mm", "iso_class": "h7", "process": "one setting"}, "process", "one of"),
        ({"nominal": "8 mm", "iso_class": "h7", "wanted": "10000"}, "wanted", "too much"),
    ],
)
def test_what_is_refused_names_its_field(stated: dict[str, str], field: str, words: str) -> None:
    with pytest.raises(SpecError) as refused:
        LotSpec.from_text({**WANTED, **stated})
    told = {problem.field: problem.message for problem in refused.value.problems}
    assert words in told[field]


def test_a_spread_of_wear_and_share_is_kept() -> None:
    stated = {"nominal": "8 mm", "iso_class": "h7", "wear": "-0.05 ± 0.02 um"}
    spec = LotSpec.from_text({**WANTED, **stated, "setting_share": "30 to 60 %"}).spec
    assert spec.wear.median == pytest.approx(-0.05e-6, rel=1e-12)
    assert spec.setting_share.median == pytest.approx(0.45, rel=1e-12)
    assert LotSpec.model_validate(spec.to_si_json()) == spec


def test_a_gauge_nobody_names_is_the_usual_one() -> None:
    assert [usual_gauge(p) for p in ("turn", "ream", "place")] == [
        "digital micrometer",
        "bore gauge",
        "caliper",
    ]
