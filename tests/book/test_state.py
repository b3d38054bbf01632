import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.book.state import State, replay
from book.books import event, in_another_order, piece, size, state_of, struck_out, written


def values(state: State) -> dict[str, float]:
    return {size.id: size.value for size in state.sizes}


def test_a_correction_takes_the_place_of_what_it_corrects() -> None:
    entries = [
        piece("left"),
        size("one", piece="left", value=1.0),
        size("two", piece="left", value=2.0),
        size("one again", piece="left", value=1.5, supersedes="one"),
    ]
    state = state_of(*entries)
    assert values(state) == {"one": 1.5, "two": 2.0}
    assert state.sizes[0].record.id == "one again"
    assert [each.value for each in state.sizes_of("left")] == [1.5, 2.0]


def test_a_correction_of_a_correction() -> None:
    state = state_of(
        piece("left"),
        size("one", piece="left", value=1.0),
        size("b", piece="left", value=1.5, supersedes="one"),
        size("c", piece="left", value=1.7, supersedes="b"),
    )
    assert values(state) == {"one": 1.7}
    assert state.first_of("c") == "one"


def test_two_corrections_of_the_same_record_leave_the_later() -> None:
    state = state_of(
        piece("left"),
        size("one", piece="left", value=1.0),
        size("b", piece="left", value=1.5, supersedes="one"),
        size("c", piece="left", value=1.7, supersedes="one"),
    )
    assert values(state) == {"one": 1.7}


def test_a_correction_can_move_a_size_to_another_piece() -> None:
    state = state_of(
        piece("left"),
        piece("right"),
        size("one", piece="left", value=1.0),
        size("b", piece="right", value=1.0, supersedes="one"),
    )
    assert state.sizes_of("left") == []
    assert [each.id for each in state.sizes_of("right")] == ["one"]


def test_a_correction_struck_out_lets_what_it_corrected_stand_again() -> None:
    entries = [
        piece("left"),
        size("one", piece="left", value=1.0),
        size("b", piece="left", value=1.5, supersedes="one"),
        size("c", piece="left", value=1.7, supersedes="b"),
        struck_out("s", "c"),
    ]
    assert values(state_of(*entries)) == {"one": 1.5}
    assert values(state_of(*entries, struck_out("t", "b"))) == {"one": 1.0}
    assert values(state_of(*entries, struck_out("t", "b"), struck_out("u", "one"))) == {}


@pytest.mark.parametrize("corrections", [0, 1, 2])
def test_a_first_record_struck_out_takes_its_corrections_with_it(corrections: int) -> None:
    chain = [
        size("one", piece="left", value=1.0),
        size("b", piece="left", value=1.5, supersedes="one"),
        size("c", piece="left", value=1.7, supersedes="b"),
    ][: corrections + 1]
    state = state_of(piece("left"), *chain, struck_out("s", "one"))
    assert values(state) == {}
    assert state.sizes_of("left") == []
    assert state.is_struck("one")
    assert state.standing_record("one") is None
    # Even one that comes in later, from somebody who did not know.
    late = size("late", piece="left", value=1.9, supersedes="one")
    assert values(state_of(piece("left"), *chain, struck_out("s", "one"), late)) == {}


def test_things_struck_out_are_gone_from_every_list() -> None:
    state = state_of(piece("left"), event("new", when="2026-01-01"), struck_out("s", "left"))
    assert list(state.things) == ["new"]
    assert state.of("piece") == []
    assert [thing.id for thing in state.of("event")] == ["new"]


def test_sizes_stand_in_the_order_of_their_days_then_of_entry() -> None:
    state = state_of(
        piece("left"),
        size("late", piece="left", value=3.0, when="2026-03-03"),
        size("early", piece="left", value=1.0, when="2026-01-03"),
        size("same day", piece="left", value=4.0, when="2026-03-03"),
        size("no date", piece="left", value=2.0),  # the day of entry: 2026-03-01
    )
    assert [each.id for each in state.sizes_of("left")] == ["early", "no date", "late", "same day"]


def test_a_corrected_size_keeps_its_place_within_the_day() -> None:
    state = state_of(
        piece("left"),
        size("one", piece="left", value=1.0),
        size("two", piece="left", value=2.0),
        size("b", piece="left", value=1.1, supersedes="one"),
    )
    assert [each.id for each in state.sizes_of("left")] == ["one", "two"]


chains = st.lists(
    st.tuples(st.integers(0, 2), st.sampled_from(["new", "correct", "strike"])), max_size=14
)


@given(chains, st.integers(0, 14), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_a_state_that_goes_on_is_the_state_replayed(
    deeds: list[tuple[int, str]], cut: int, shuffler: random.Random
) -> None:
    """Piecemeal or at once, and in another order: the same; and an earlier state never changes."""
    entries = [piece(f"piece {number}") for number in range(3)]
    newest: dict[str, list[str]] = {}
    for number, (place, deed) in enumerate(deeds):
        key, when = f"r{number}", f"2026-01-{number + 1:02d}"
        chain = list(newest.values())[place % len(newest)] if newest else None
        if deed == "new" or chain is None:
            newest[key] = [key]
            made = size(key, piece=f"piece {place}", value=number, when=when)
        elif deed == "correct":
            made = size(key, piece=f"piece {place}", value=number, when=when, supersedes=chain[-1])
            chain.append(key)
        else:
            made = struck_out(key, chain[shuffler.randrange(len(chain))])
        entries.append(made)
    records = written(entries)
    whole = replay(records)
    before = replay(records[:cut])
    told = (values(before), [s.id for s in before.sizes_of("piece 0")])
    after = before.followed_by(records[cut:])
    assert values(after) == values(whole)
    for number in range(3):
        assert after.sizes_of(f"piece {number}") == whole.sizes_of(f"piece {number}")
    assert told == (values(before), [s.id for s in before.sizes_of("piece 0")])
    assert values(replay(written(in_another_order(entries, shuffler)))) == values(whole)
