"""The table of threads: names as the trade writes them, limits, drills."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.tables.threads import (
    FORMS,
    DrillBelowCore,
    UnknownThread,
    engagement,
    tapping_drill,
    thread,
    threads,
)
from sources import source


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("M5", "M5"),
        ("m6 x 1", "M6"),
        ("M6x0.75", "M6x0.75"),
        ("M6 × 0,75", "M6x0.75"),
        ("M8x1 fine", "M8x1"),
        ("2 BA", "2 BA"),
        ("2BA", "2 BA"),
        ("No. 2 B.A.", "2 BA"),
        ("BA 10", "10 BA"),
        ("5/16x40", "5/16x40 ME"),
        ("5/16 x 40", "5/16x40 ME"),
        ('5/16" x 40 tpi', "5/16x40 ME"),
        ("0.3125 x 40", "5/16x40 ME"),
        ("1/4 x 32 ME", "1/4x32 ME"),
        ("1/4-26 BSF", "1/4x26 BSF"),
        ("1/4 BSW", "1/4x20 BSW"),
        ("3/16 x 32 BSF", "3/16x32 BSF"),
        ("1/8 BSP", "1/8 BSP"),
        ("1/8 bspp", "1/8 BSP"),
        ("G1/8", "1/8 BSP"),
    ],
)
def test_a_thread_is_found_as_the_trade_writes_it(written: str, key: str) -> None:
    assert thread(written).key == key


@pytest.mark.parametrize(
    ("written", "told"),
    [("M99", "did you mean M9"), ("5/17x40", "5/16x40 ME"), ("", "write M5"), ("zz", "write M5")],
)
def test_what_is_no_thread_is_refused_with_the_closest(written: str, told: str) -> None:
    with pytest.raises(UnknownThread, match="no thread is called") as caught:
        thread(written)
    assert told in str(caught.value)


@given(st.text(max_size=60))
def test_nothing_typed_does_worse_than_be_unknown(written: str) -> None:
    try:
        found = thread(written)
    except UnknownThread:
        return
    assert found in threads()


def test_every_thread_is_found_by_its_own_name_and_lies_in_order() -> None:
    for each in threads():
        assert thread(each.key) is each
        assert 0.0 < each.screw_core <= each.nut_core < each.pitch_diameter < each.major
        limits = each.limits
        for low, high in (
            limits.screw_major,
            limits.screw_pitch,
            limits.nut_minor,
            limits.nut_pitch,
        ):
            assert low < high
        assert limits.screw_pitch[1] <= each.pitch_diameter <= limits.nut_pitch[0] + 1e-12
        assert limits.loosest == pytest.approx(limits.nut_pitch[1] - limits.screw_pitch[0])
        assert each.source
        assert limits.source


@source(
    "ISO 965-1: tolerances from the formulas 90 P^0.4 d^0.1, 1.32 times it for nuts, 180 "
    "P^(2/3) - 3.15 P^-0.5 (from memory), before rounding to preferred numbers",
    kind="from memory",
)
def test_metric_limits_follow_the_formulas_within_their_rounding() -> None:
    for each in threads():
        if not each.series.startswith("ISO"):
            continue
        limits, pitch = each.limits, each.pitch * 1e3
        steps = (1.4, 2.8, 5.6, 11.2, 22.4)
        upper = next(step for step in steps[1:] if each.major * 1e3 <= step)
        mean = np.sqrt(upper * upper / 2.0)
        screw = 90.0 * pitch**0.4 * mean**0.1
        found = 1e6 * np.array([np.ptp(limits.screw_pitch), np.ptp(limits.nut_pitch)])
        np.testing.assert_allclose(found, (screw, 1.32 * screw), rtol=0.056, atol=0)
        major = 180.0 * pitch ** (2.0 / 3.0) - 3.15 / np.sqrt(pitch)
        np.testing.assert_allclose(1e6 * np.ptp(limits.screw_major), major, rtol=0.036, atol=0)


def test_usual_drills_keep_between_the_core_and_the_loosest_nut() -> None:
    for each in threads():
        drill = tapping_drill(each)
        assert each.nut_core - 1e-12 <= drill <= each.limits.nut_minor[1] + 1e-9
        assert 0.65 <= engagement(each, drill=drill) <= 1.0
        assert "100 % is" in each.form.scale


def test_a_drill_is_chosen_for_the_share_asked_for() -> None:
    size = thread("2 BA")
    for share in (0.6, 0.7, 0.8):
        step = 0.05e-3 / (2.0 * size.form.height * size.pitch)
        found = engagement(size, drill=tapping_drill(size, share=share))
        np.testing.assert_allclose(found, share, rtol=0, atol=0.5 * step + 1e-9)
    with pytest.raises(ValueError, match="full depth"):
        tapping_drill(size, share=1.1)


@source(
    "common practice: 4 mm for 2 BA, 4.2 mm for M5, both drills in every list",
    kind="common practice",
)
@pytest.mark.parametrize(("name", "drill"), [("2 BA", 4.0e-3), ("M5", 4.2e-3)])
def test_drills_of_the_trade_leave_seven_tenths_or_more(name: str, drill: float) -> None:
    assert 0.7 < engagement(thread(name), drill=drill) < 0.95


def test_a_drill_below_the_core_is_refused_and_the_scale_said() -> None:
    size = thread("5/16x40")
    with pytest.raises(DrillBelowCore, match=r"below the core of 5/16x40 ME.*100 % is"):
        engagement(size, drill=size.nut_core - 0.05e-3)
    assert engagement(size, drill=size.nut_core) == pytest.approx(1.0)


def test_forms_name_their_source() -> None:
    assert set(FORMS) == {"iso metric", "ba", "whitworth"}
    assert all(form.source for form in FORMS.values())
