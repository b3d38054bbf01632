import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest

from benchproof.bench_tests import load_bench_test
from benchproof.book import review as reviewing
from benchproof.book.cache import Cache
from benchproof.book.demo import left_drop_test, make_demo
from benchproof.book.errors import Conflict
from benchproof.book.model import Book
from benchproof.book.records import Entry, Record
from benchproof.book.review import Verdict, holds_back, review
from benchproof.book.store import Store
from benchproof.book.tested import result_of
from benchproof.duties import load_duty
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.result import bench_result
from benchproof.tables import materials
from book.books import in_another_order, small_book

PAIR = "left piston fit"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    with make_demo(tmp_path_factory.mktemp("demo") / "demo.book") as made:
        yield made


@pytest.fixture(scope="module")
def verdicts(demo: Book) -> list[Verdict]:
    return review(demo)


@pytest.fixture
def few_draws(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reviewing, "REVIEW_DRAWS", 512)


def copied(book: Book, path: Path) -> Book:
    book.store.copy_to(path)
    return Book.open(path)


def as_entry(record: Record) -> Entry:
    return Entry(
        record.kind,
        record.body,
        record.subject,
        record.supersedes,
        record.who,
        record.at,
        record.id,
    )


def test_the_demo_is_judged_worst_first(verdicts: list[Verdict]) -> None:
    states = {v.name: v.state for v in verdicts}
    assert states == {
        PAIR: "in trouble",
        "right piston fit": "planned",
        "feed pump piston fit": "planned",
        "leading left tyre fit": "tested",
        "leading right tyre fit": "planned",
        "leading left journal": "planned",
        "leading right journal": "planned",
        "left front drain cock": "tested",
        "right front drain cock": "planned",
        "clack union": "tested",
        "left injector": "tested",
        "right injector": "planned",
    }
    assert [v.trouble for v in verdicts] == sorted((v.trouble for v in verdicts), reverse=True)
    assert verdicts[0].name == PAIR
    assert holds_back(verdicts) == verdicts[0]
    for verdict in verdicts:
        assert verdict.right + verdict.correctable + verdict.lost == pytest.approx(1.0, abs=1e-9)
        assert verdict.do_next["metric"]


def test_nothing_holds_back_an_engine_that_is_right(verdicts: list[Verdict]) -> None:
    good = [replace(v, right=0.95, correctable=0.03, lost=0.02) for v in verdicts]
    assert holds_back(good) is None
    assert holds_back([]) is None


def test_what_comes_next_is_said_of_each_state(verdicts: list[Verdict]) -> None:
    told = {v.name: v for v in verdicts}
    assert "make it again" in told[PAIR].do_next["metric"]
    assert told[PAIR].known_from.startswith("shown by the drop test")
    assert told["right piston fit"].do_next["metric"].startswith("cut the piston to 29.9")
    assert " in, then drop-test" in told["right piston fit"].do_next["inch"]
    assert told["feed pump piston fit"].do_next["metric"].startswith("no window: fit a ring")


def test_what_is_only_planned_begins_with_its_mate(tmp_path: Path, few_draws: None) -> None:
    with small_book(tmp_path) as book:
        first = review(book)[0].do_next["metric"]
        assert first == "make and measure the bore; then cut the piston to suit"


def test_a_test_is_judged_by_the_spec_of_now(demo: Book, few_draws: None, tmp_path: Path) -> None:
    with copied(demo, tmp_path / "lenient.book") as book:
        before = {v.name: v.right for v in review(book)}
        bound = book.binding(PAIR)
        lenient = {**bound.stated, "steam_loss_limit": "30 %"}
        pieces = {role: book.state.things[key].name for role, key in bound.roles.items()}
        book.bind("piston-fit", PAIR, lenient, pieces, engine="Dunnock", supersedes=bound.record.id)
        after = {v.name: v for v in review(book)}
    assert before[PAIR] < 0.5
    assert after[PAIR].right > 0.9
    assert after[PAIR].state == "tested"


def test_a_test_of_another_part_is_told(demo: Book, few_draws: None, tmp_path: Path) -> None:
    with copied(demo, tmp_path / "changed.book") as book:
        bound = book.binding(PAIR)
        pieces = {role: book.state.things[key].name for role, key in bound.roles.items()}
        book.bind(
            "piston-fit",
            PAIR,
            {**bound.stated, "bore": "30.1 mm"},
            pieces,
            engine="Dunnock",
            supersedes=bound.record.id,
        )
        told = {v.name: v.do_next["metric"] for v in review(book)}
    assert "test again" in told[PAIR]
    assert "another part" in told[PAIR]
    assert "another part" not in told["right piston fit"]


def test_progress_is_told(demo: Book, few_draws: None) -> None:
    told: list[tuple[int, int, str]] = []
    review(demo, "dunnock", progress=lambda *step: told.append(step))
    count = len(demo.state.bindings)
    assert [done for done, _, _ in told] == list(range(count + 1))
    assert {whole for _, whole, _ in told} == {count}
    assert {name for _, _, name in told} == {b.name for b in demo.state.bindings.values()} | {""}
    with pytest.raises(Conflict, match="no engine called 'Heron'"):
        review(demo, "Heron")


def test_the_same_evidence_in_another_order_gives_the_same_verdicts(
    demo: Book, verdicts: list[Verdict], tmp_path: Path
) -> None:
    entries = [as_entry(record) for record in demo.store.records]
    shuffled = in_another_order(entries, random.Random(4))
    assert [e.id for e in shuffled] != [e.id for e in entries]
    with Book(Store.create(tmp_path / "other.book")) as other:
        other.store.add(shuffled)
        head = other.store.head
        other.store.add(shuffled)  # and once more: each is in the book already
        assert other.store.head == head
        assert review(other) == verdicts


def test_a_cache_changes_nothing(
    demo: Book, few_draws: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = review(demo)
    path = tmp_path / "x.cache"
    kept = Cache(path)
    assert review(demo, cache=kept) == plain

    def never(*_: object) -> dict[str, object]:
        raise AssertionError("reckoned again")

    with monkeypatch.context() as without:
        without.setattr(reviewing, "_reckon", never)
        assert review(demo, cache=kept) == plain
        with pytest.raises(AssertionError, match="reckoned again"):
            review(demo)
    kept.close()
    for spoil in (path.unlink, lambda: path.write_bytes(b"\x00rubbish" * 999)):
        spoil()
        again = Cache(path)
        assert review(demo, cache=again) == plain
        again.close()


WHOLE = {
    "state": "planned",
    "right": 0.5,
    "correctable": 0.25,
    "lost": 0.25,
    "do_next": {"metric": "wait", "inch": "wait"},
    "known_from": "hearsay",
}


@pytest.mark.parametrize(
    "rubbish",
    [
        {},
        {"right": 1.0},
        {**WHOLE, "extra": 1},
        {**WHOLE, "right": 1.5},
        {**WHOLE, "right": "all"},
        {**WHOLE, "do_next": None},
        {**WHOLE, "state": "perfect"},
    ],
)
def test_a_cache_with_other_content_is_not_believed(
    demo: Book, few_draws: None, tmp_path: Path, rubbish: dict[str, object]
) -> None:
    class Foreign(Cache):
        def get(self, key: str) -> dict[str, object]:
            return rubbish

    kept = Foreign(tmp_path / "x.cache")
    assert review(demo, cache=kept) == review(demo)
    kept.close()


def test_new_evidence_is_never_answered_from_the_cache(
    demo: Book, few_draws: None, tmp_path: Path
) -> None:
    kept = Cache(tmp_path / "x.cache")
    with copied(demo, tmp_path / "copy.book") as book:
        before = {v.name: v for v in review(book, cache=kept)}
        book.enter("machine", {"name": "another lathe"}, supersedes=book.state.of("machine")[0].id)
        renamed = {v.name: v for v in review(book, cache=kept)}
        assert "another lathe" in renamed["right piston fit"].known_from
        book.enter("past part", {"process": "turn", "aim": "30 mm", "came_out": "30.05 mm"})
        after = {v.name: v for v in review(book, cache=kept)}
        assert after["right piston fit"].right != before["right piston fit"].right
        assert after == {v.name: v for v in review(book)}
    kept.close()


def test_a_test_no_longer_counts_once_a_piece_is_cut_or_measured_anew(
    demo: Book, few_draws: None, tmp_path: Path
) -> None:
    with copied(demo, tmp_path / "copy.book") as book:

        def tested() -> bool:
            found = next(v for v in review(book) if v.name == PAIR)
            return found.known_from.startswith("shown by the drop test")

        def fit(when: str) -> Record:
            return book.measure(
                "left piston", "piston", "29.974 mm", taken={"cut": "again", "when": when}
            )

        assert tested()
        fit("2026-02-10")  # an older size, entered late
        assert tested()
        again = fit("2026-02-20")
        assert not tested()
        book.test(PAIR, "drop-test", left_drop_test(), when="2026-02-21")
        assert tested()
        (_, new) = book.state.tests_of(book.binding(PAIR).id)
        book.strike_out(new.id, "another piston's")
        assert not tested()
        book.strike_out(again.id, "another piston's")
        assert tested()


def test_readings_no_piston_could_give(tmp_path: Path, few_draws: None) -> None:
    impossible = {
        **left_drop_test(),
        "reading": [
            {"posture": "upright", "time": time}
            for time in ("0.5 s", "80000 s", "0.5 s", "80000 s")
        ],
    }
    with small_book(tmp_path) as book:
        book.test("piston fit", "drop-test", impossible, when="2026-02-21")
        (verdict,) = review(book)
    assert verdict.state == "in trouble"
    assert verdict.do_next["metric"].startswith("repeat the drop-test")
    assert verdict.right + verdict.correctable + verdict.lost == pytest.approx(1.0, abs=1e-9)


def test_a_changed_table_rewrites_no_old_bench_test(
    demo: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    bound = demo.binding(PAIR)
    (old,) = demo.state.tests_of(bound.id)
    recorded = old.record.text
    before = result_of(demo.job(bound), old)

    gunmetal = materials.material("gunmetal")
    changed = replace(
        gunmetal,
        expansion=replace(gunmetal.expansion, value=2.0 * gunmetal.expansion.value),
    )
    table = {
        name: changed if each.key == gunmetal.key else each
        for name, each in materials._by_name().items()
    }
    monkeypatch.setattr(materials, "_by_name", lambda: MappingProxyType(table))
    assert materials.material("gunmetal") is changed
    now = demo.job(bound)
    assert demo.state.tests_of(bound.id)[0].record.text == recorded
    again = result_of(now, old)
    assert again.forecasts == before.forecasts
    assert again.answer.best == before.answer.best
    assert again.answer.window == before.answer.window
    # Reckoned with the table as it is now, the same readings would tell of another piston.
    bench = load_bench_test(old.test)
    fresh = bench_result(
        Job(load_duty(bound.duty), now.spec, now.lathe, now.made),
        bench,
        bench.record_type.from_text(old.stated).spec,
    )
    assert fresh.forecasts != before.forecasts


def test_a_brief_answer_is_the_full_one_cut_short(demo: Book) -> None:
    """The odds are the same; the window differs by no more than its fewer draws explain."""
    job = demo.job(demo.binding("right piston fit"))
    full, brief = plan(job, draws=2048), plan(job, draws=2048, brief=True)
    assert brief.best == full.best
    assert brief.likeliest == full.likeliest
    assert (brief.causes, brief.limits) == ([], brief.window)
    assert full.causes
    assert full.limits != full.window
    lower, upper = full.window.lower, full.window.upper
    assert lower is not None
    assert upper is not None
    tenth = 0.1 * (upper - lower)
    assert brief.window.lower == pytest.approx(lower, abs=tenth)
    assert brief.window.upper == pytest.approx(upper, abs=tenth)


def test_a_tyre_that_has_turned_comes_first_and_without_odds(
    demo: Book, few_draws: None, tmp_path: Path
) -> None:
    with copied(demo, tmp_path / "turned.book") as book:
        runs = {"runs": "10", "torque": "3 ± 1 N m", "tyre_lead": "0 to 10 K", "moved": "yes"}
        book.test("leading left tyre fit", "witness-mark", {"reading": [runs]}, when="2026-03-01")
        first = review(book)[0]
    assert (first.name, first.state, first.lost) == ("leading left tyre fit", "in trouble", 1.0)
    assert first.do_next["metric"].startswith("the mark has moved: take the engine out of use")


def test_readings_that_fit_no_part_are_in_trouble(
    demo: Book, few_draws: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def impossible(*_: object, **__: object) -> None:
        raise ImpossibleReadings

    monkeypatch.setattr("benchproof.book.review.result_of", impossible)
    told = {v.name: v for v in review(demo)}
    assert told[PAIR].state == "in trouble"
    assert told[PAIR].do_next["metric"].startswith("repeat the drop-test")


def test_a_tyre_that_is_on_is_not_bored_any_more(demo: Book, few_draws: None) -> None:
    told = {v.name: v for v in review(demo)}["leading left tyre fit"]
    assert told.correctable == 0.0
    assert told.do_next["metric"] == "leave it as it is"
