import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.book.evidence import (
    counted,
    instrument_u,
    instruments,
    lathe_of,
    standings,
    weights,
    witnesses,
)
from benchproof.book.records import Entry
from benchproof.book.state import State
from benchproof.tables.iso286 import tolerance_unit
from benchproof.workshop.standing import Standing
from book.books import (
    event,
    in_another_order,
    past_part,
    piece,
    size,
    state_of,
    struck_out,
)
from book.hidden_lathes import Hidden, hidden

AIM = 20e-3


def same(one: State, other: State) -> bool:
    """Whether two states show exactly the same standings."""
    mine, theirs = standings(one), standings(other)
    return all(
        mine[key].parts == theirs[key].parts
        and np.array_equal(getattr(mine[key], field), getattr(theirs[key], field))
        for key in mine
        for field in ("spread_grid", "probability", "bias_mean", "bias_sd")
    )


def turned(*entries: Entry) -> Standing:
    return standings(state_of(piece("left"), *entries))["turn"]


def test_a_part_speaks_by_its_first_size_less_its_aim() -> None:
    state = state_of(
        piece("left"),
        size("a", piece="left", value=AIM + 7e-6, aim=AIM, u=2e-6, when="2026-01-05"),
        size("b", piece="left", value=AIM + 3e-6, aim=AIM, u=1e-6, when="2026-01-04"),
        past_part("c", aim=12e-3, came_out=12.004e-3, u=3e-6, when="2025-01-01", process="bore"),
    )
    bored, turned_one = witnesses(state)
    assert (bored.id, bored.scale, bored.u) == ("c", 12e-3, 3e-6)
    assert bored.deviation == pytest.approx(4e-6, rel=1e-6)
    assert turned_one.id == "b"  # the earlier of two readings of one cut
    assert turned_one.deviation == pytest.approx(3e-6, rel=1e-6)
    shown = counted(state)
    assert (shown["turn"].witnesses, shown["bore"].witnesses) == (1, 1)


@pytest.mark.parametrize(
    "silent",
    [
        size("a", piece="left", value=AIM),  # against no aim
        size("a", piece="left", value=AIM, aim=AIM, cut="again"),
        size("a", piece="left", value=AIM, cut="fitted"),
        size("a", piece="left", value=AIM, aim=AIM, process=None),
    ],
)
def test_what_tells_nothing_of_the_lathe(silent: Entry) -> None:
    state = state_of(piece("left"), silent)
    assert witnesses(state) == []
    assert standings(state)["turn"].parts == 0
    assert lathe_of(state).assumed


def test_what_could_not_speak_is_counted_beside() -> None:
    scrapped = Entry(
        "scrapped", {"si": {"why": "chatter"}}, "left", at="2026-03-02T10:00:00+00:00", id="s"
    )
    state = state_of(
        piece("left"),
        piece("right"),
        size("a", piece="left", value=AIM, aim=AIM),
        size("b", piece="left", value=AIM, cut="again"),
        size("c", piece="left", value=AIM, cut="again"),
        size("d", piece="right", value=AIM, cut="fitted"),
        scrapped,
    )
    found = counted(state)["turn"]
    assert (found.witnesses, found.cut_again, found.fitted, found.scrapped) == (1, 1, 1, 1)
    # A piece that was scrapped was cut all the same: it speaks of the lathe.
    assert [w.id for w in witnesses(state)] == ["a"]


def test_an_event_weighs_what_was_before_it_on_its_process() -> None:
    entries = [
        past_part("old", aim=AIM, came_out=AIM, u=0.0, when="2025-01-01"),
        past_part("no date", aim=AIM, came_out=AIM, u=0.0),
        past_part("same day", aim=AIM, came_out=AIM, u=0.0, when="2025-06-01"),
        past_part("bored", aim=AIM, came_out=AIM, u=0.0, when="2025-01-01", process="bore"),
        event("bearings", when="2025-06-01", trust=0.5),
        event("chuck", when="2025-03-01", trust=0.5, process="turn"),
    ]
    state = state_of(*entries)
    found = witnesses(state)
    shares = dict(zip([w.id for w in found], weights(state, found), strict=True))
    assert shares == {"old": 0.25, "no date": 0.25, "same day": 1.0, "bored": 0.5}
    assert standings(state)["turn"].worth == pytest.approx(1.5, rel=1e-12)
    assert standings(state)["turn"].parts == 3


def test_own_instruments_stand_in_for_those_of_the_trade() -> None:
    own = Entry(
        "instrument",
        {"si": {"name": "caliper", "u": 12e-6, "checked": "2026-01-01"}},
        at="2026-03-02T10:00:00+00:00",
        id="i",
    )
    state = state_of(own)
    assert instruments(state)["caliper"].u == 12e-6
    assert "checked 2026-01-01" in instruments(state)["caliper"].source
    assert instrument_u(state, "caliper") == 12e-6
    assert instrument_u(state, "micrometer") == instruments(state)["micrometer"].u
    assert instrument_u(state, "stopwatch") == 0.0  # which measures no length
    assert instrument_u(state, "") == 0.0


evidence = st.lists(
    st.tuples(
        st.sampled_from(["past", "event", "first", "again", "fitted", "correct", "strike"]),
        st.integers(0, 3),
        st.integers(-20, 20),
    ),
    max_size=16,
)


def entries_of(deeds: list[tuple[str, int, int]]) -> list[Entry]:
    """Evidence with a day each, so that only the order of entry is free."""
    entries = [piece(f"piece {number}") for number in range(4)]
    newest: list[str] = []
    for number, (deed, place, off) in enumerate(deeds):
        key, when, value = f"r{number}", f"2026-01-{number + 1:02d}", AIM + off * 1e-6
        made = {"piece": f"piece {place}", "value": value, "aim": AIM, "when": when}
        if deed == "past":
            entries.append(past_part(key, aim=AIM, came_out=value, u=2e-6, when=when))
        elif deed == "event":
            entries.append(event(key, when=when, trust=0.3 + 0.17 * place))
        elif deed in {"first", "again", "fitted"}:
            entries.append(size(key, cut=deed, **made))  # type: ignore[arg-type]
            newest.append(key)
        elif deed == "correct" and newest:
            entries.append(size(key, supersedes=newest[-1], **made))  # type: ignore[arg-type]
            newest[-1] = key
        elif deed == "strike" and newest:
            entries.append(struck_out(key, newest.pop()))
    return entries


@given(evidence, st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_the_order_of_entry_changes_nothing(
    deeds: list[tuple[str, int, int]], shuffler: random.Random
) -> None:
    entries = entries_of(deeds)
    state, other = state_of(*entries), state_of(*in_another_order(entries, shuffler))
    assert witnesses(state) == witnesses(other)
    assert same(state, other)
    assert counted(state) == counted(other)


def test_a_correction_replaces_and_never_adds() -> None:
    one = size("a", piece="left", value=AIM + 40e-6, aim=AIM)
    right = size("b", piece="left", value=AIM + 4e-6, aim=AIM, supersedes="a")
    corrected = turned(one, right)
    assert corrected.parts == 1
    plain = turned(size("a", piece="left", value=AIM + 4e-6, aim=AIM))
    np.testing.assert_array_equal(corrected.probability, plain.probability)
    assert turned(one, right, struck_out("s", "a")).parts == 0


@pytest.mark.parametrize("count", [3, 8, 30])
@pytest.mark.parametrize("micrometres", [1.0, 5.0])
def test_stated_intervals_hold_hidden_lathes(count: int, micrometres: float) -> None:
    """Through the book: the next true part falls inside nine times in ten."""
    rng = np.random.default_rng(count)
    held = [
        lathe.share_held(standings(state_of(*lathe.parts(count, micrometres * 1e-6, rng)))["turn"])
        for lathe in hidden(300)
    ]
    assert 0.88 <= np.mean(held) <= 0.92


def after_an_event(before: int, after: int, trust: float, *, lathes: int = 200) -> float:
    """Share held when an event gave every lathe another bias altogether."""
    rng = np.random.default_rng(100 * before + after)
    held = []
    for lathe, other in zip(hidden(lathes), hidden(lathes, seed=7), strict=True):
        changed = Hidden(other.bias, lathe.spread)
        state = state_of(
            *lathe.parts(before, 2e-6, rng),
            event("bearings", when="2026-02-01", trust=trust),
            *changed.parts(after, 2e-6, rng, month="2026-03"),
        )
        held.append(changed.share_held(standings(state)["turn"]))
    return float(np.mean(held))


@pytest.mark.parametrize(
    ("before", "after"), [(10, 0), (10, 3), (30, 0), (30, 1), (30, 8), (100, 0), (100, 3)]
)
def test_intervals_after_an_event_that_changed_the_bias(before: int, after: int) -> None:
    """Another bias altogether, at a quarter's trust; trusting fully would not do."""
    assert after_an_event(before, after, 0.25) >= 0.8
    if before >= 30 and after == 0:
        assert after_an_event(before, after, 1.0, lathes=60) < 0.75


def test_a_long_past_counts_together_as_few_parts_after_an_event() -> None:
    parts = [past_part(str(n), aim=AIM, came_out=AIM, u=0.0, when="2025-01-01") for n in range(100)]
    state = state_of(*parts, event("bearings", when="2025-06-01", trust=0.25))
    found = witnesses(state)
    assert sum(weights(state, found)) == pytest.approx(5.0)
    trusting = state_of(*parts, event("bearings", when="2025-06-01", trust=1.0))
    assert weights(trusting, found) == [1.0] * 100


def test_cut_until_it_fitted_is_no_skill() -> None:
    """A builder who cuts again until within 3 um, and honestly says so."""
    rng = np.random.default_rng(11)
    unit = float(tolerance_unit(AIM))
    firsts: list[Entry] = []
    all_of_it: list[Entry] = []
    ends = []
    for number in range(25):
        off = unit * (1.0 + 3.0 * rng.standard_normal())
        made = {"piece": f"p{number}", "aim": AIM, "u": 2e-6}
        day = f"2026-01-{number + 1:02d}"
        start = [
            piece(f"p{number}"),
            size(f"first {number}", value=AIM + off, when=day, **made),  # type: ignore[arg-type]
        ]
        firsts += start
        all_of_it += start
        lap = 0
        while abs(off) > 3e-6:
            lap, off = lap + 1, 0.5 * off
            cut = "again" if lap % 2 else "fitted"
            all_of_it.append(
                size(f"lap {number} {lap}", value=AIM + off, when=day, cut=cut, **made)  # type: ignore[arg-type]
            )
        ends.append(off)
    state = state_of(*all_of_it)
    assert same(state, state_of(*firsts))
    assert counted(state)["turn"].cut_again > 10
    # What came out in the end would have told of a lathe more than twice as good.
    final = [
        past_part(f"{number}", aim=AIM, came_out=AIM + off, u=2e-6)
        for number, off in enumerate(ends)
    ]
    flattering = standings(state_of(*final))["turn"].spread_quantile(0.5)
    assert standings(state)["turn"].spread_quantile(0.5) > 2.0 * flattering


def test_a_size_entered_late_and_called_first_does_not_flatter() -> None:
    """Only the earliest first size of a feature counts, however many are called first."""
    honest = size("a", piece="left", value=AIM + 40e-6, aim=AIM, when="2026-01-01")
    prettier = size("b", piece="left", value=AIM, aim=AIM, when="2026-01-02")
    assert same(state_of(piece("left"), honest, prettier), state_of(piece("left"), honest))
