"""What an engine's file says in words: parts and their state, sources, open questions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.book.evidence import instruments
from benchproof.book.kinds import GROUPS, Engine
from benchproof.book.model import Book
from benchproof.book.review import GOOD, IN_TROUBLE, MADE, PLANNED, TESTED, to_make_again
from benchproof.book.state import Tested, Thing
from benchproof.columns import sentence
from benchproof.duties.contract import Unknown
from benchproof.features import PROCESSES
from benchproof.figures import in_hundred
from benchproof.papers.engine_facts import IMPOSSIBLE, DutyFacts, EngineFacts
from benchproof.quantities import LENGTH, System, show
from benchproof.specs.layout import fields_of
from benchproof.specs.markers import Quantity
from benchproof.tables.materials import UnknownMaterial, material

_ORDER: Final = (IN_TROUBLE, PLANNED, MADE, TESTED)
_NO_DUTY: Final = 12  # names told of those that have none


def leading(facts: EngineFacts, system: System) -> list[tuple[str, str]]:
    """Leading dimensions of the engine, as stated and in the system wanted."""
    spec = facts.engine.spec
    found = []
    for field in fields_of(Engine):
        value = getattr(spec, field.name)
        if isinstance(field.marker, Quantity) and value is not None:
            stated = facts.engine.record.body["stated"].get(field.name, "")
            told = show(value, field.marker.kind, system=system)
            both = stated if stated == told or not stated else f"{stated} ({told})"
            found.append((field.label, both))
    return found


def parts(book: Book, facts: EngineFacts) -> list[dict[str, Any]]:
    """Parts by group: name, how many off, and each piece with its state."""
    state = book.state
    states = _states(book, facts)
    found: dict[str, list[dict[str, Any]]] = {}
    for part in state.of("part", facts.engine.id):
        pieces = [[p.name, states.get(p.id, PLANNED)] for p in state.of("piece", part.id)]
        lots = [[f"lot {lot.name}", ""] for lot in state.of("lot", part.id)]
        found.setdefault(part.spec.group, []).append(
            {
                "name": part.name,
                "off": part.spec.off,
                "pieces": pieces + lots,
                "note": part.spec.note,
            }
        )
    return [{"group": group, "parts": found[group]} for group in GROUPS if group in found]


def _states(book: Book, facts: EngineFacts) -> dict[str, str]:
    """State of every piece: that of the duty that holds it back most, else made or planned."""
    state = book.state
    found: dict[str, str] = {}
    for each in facts.duties:
        for key in each.binding.roles.values():
            before = found.get(key, TESTED)
            found[key] = min(before, each.verdict.state, key=_ORDER.index)
    for piece in _pieces(book, facts):
        sizes, lost = state.sizes_of(piece.id), state.lost(piece.id)
        if lost and not any(size.order > lost[-1] for size in sizes):
            found[piece.id] = "scrapped"
        elif piece.id in found and found[piece.id] == PLANNED and sizes:
            found[piece.id] = MADE
        else:
            found.setdefault(piece.id, MADE if sizes else PLANNED)
    return found


def _pieces(book: Book, facts: EngineFacts) -> list[Thing]:
    state = book.state
    parts = state.of("part", facts.engine.id)
    return [piece for part in parts for piece in state.of("piece", part.id)]


def open_questions(book: Book, facts: EngineFacts, system: System) -> list[tuple[str, str]]:
    """What is not settled: whose question it is, and what would settle it; the worst first."""
    found: list[tuple[str, str]] = []
    for each in facts.duties:
        found += _of_a_duty(book, each, system)
    found += _of_the_workshop(book, facts)
    bound = {piece for each in facts.duties for piece in each.binding.roles.values()}
    without = [piece.name for piece in _pieces(book, facts) if piece.id not in bound]
    if without:
        more = f" and {len(without) - _NO_DUTY} more" if len(without) > _NO_DUTY else ""
        told = ", ".join(without[:_NO_DUTY])
        found.append(
            (f"{len(without)} pieces without a duty", f"Nothing is reckoned of {told}{more}.")
        )
    return found


def _of_a_duty(book: Book, each: DutyFacts, system: System) -> Iterator[tuple[str, str]]:
    verdict, name = each.verdict, each.verdict.name
    if each.showed is not None and IMPOSSIBLE in each.showed:
        yield name, sentence(str(each.showed[IMPOSSIBLE]))
    elif verdict.state == IN_TROUBLE or verdict.right < GOOD:
        right = in_hundred(verdict.right)
        yield name, f"Odds {right} in 100. {sentence(verdict.do_next[system])}"
    tests = book.state.tests_of(each.binding.id)
    if tests and each.stands is None:
        yield (
            name,
            (
                f"The {tests[-1].test} of {tests[-1].order[0]} speaks of the pieces as they were "
                "before; test again."
            ),
        )
    elif not tests and verdict.state == MADE:
        serve = [key for key in BENCH_TESTS if each.binding.duty in load_bench_test(key).serves]
        if serve:
            yield name, f"Made, and not tested on the bench yet: {', '.join(serve)}."
    lost = to_make_again(book, each.binding)
    if lost:
        yield name, f"Scrapped and to be made again: {', '.join(lost)}."
    service = each.job.duty.service_unknowns
    labels = [u.label for u in each.job.unknowns if isinstance(u, Unknown) and u.name in service]
    if labels and each.stands is not None:
        yield name, f"Only service can settle: {'; '.join(labels)}."


def _of_the_workshop(book: Book, facts: EngineFacts) -> Iterator[tuple[str, str]]:
    nothing: dict[str, None] = {}
    for each in facts.duties:
        for error in each.job.duty.errors(each.job.spec):
            if not each.job.lathe.standings[error.process].parts:
                nothing[PROCESSES[error.process].plural] = None
    if nothing:
        yield "The lathe", f"Nothing is shown yet of: {', '.join(nothing)}; a spread is assumed."
    unchecked = [t.name for t in book.state.of("instrument") if not t.spec.checked]
    if unchecked:
        yield "Instruments", f"No check is entered of: {', '.join(unchecked)}."


def asked_of(each: DutyFacts) -> list[tuple[str, str, str]]:
    """What a duty must do, in figures: label, value in both systems, where it comes from."""
    return [
        (label, shown, {"stated": "stated", "engine": "the engine's", "default": "default"}[origin])
        for label, shown, origin in each.understood.echo()
        if shown not in {"not stated", "none"}
    ]


def sources(book: Book, facts: EngineFacts, system: System) -> list[dict[str, Any]]:
    """Where every figure comes from, by what it is a figure of; each said once."""
    found: dict[str, dict[str, None]] = {}

    def say(of: str, *told: str) -> None:
        found.setdefault(of, {}).update(dict.fromkeys(told))

    believed: dict[str, dict[str, None]] = {}
    for each in facts.duties:
        duty = each.job.duty
        say(f"{duty.title} ({duty.key})", duty.theory, *map(sentence, duty.sources))
        for unknown in each.job.unknowns:
            believed.setdefault(unknown.source, {})[unknown.label] = None
        for feature in each.features:
            say("Materials", *_material(feature.material))
        for error in duty.errors(each.job.spec):
            say("What the lathe holds", _process(error.process, each))
    for key in dict.fromkeys(test.test for test in _tests(book, facts)):
        test = load_bench_test(key)
        say(f"{test.title} ({test.key})", *map(sentence, test.sources))
    for name, one in instruments(book.state).items():
        if one.measures == "length":
            say(
                "Instruments, one standard deviation of a reading",
                sentence(f"{name}: {show(one.u, LENGTH, system=system)}, {one.source}"),
            )
    # What rests on the same is told together: of judgement alone there are dozens.
    for source, labels in believed.items():
        say("What nobody has measured", sentence(f"{'; '.join(labels)}: {source}"))
    return [{"of": of, "told": list(told)} for of, told in found.items() if told]


def _material(name: str | None) -> Sequence[str]:
    if not name:
        return ()
    try:
        one = material(name)
    except UnknownMaterial:
        return ()
    return (
        sentence(
            f"{one.name}: expansion {one.expansion.value * 1e6:.1f} µm/(m K), "
            f"{one.expansion.source}"
        ),
    )


def _process(key: str, each: DutyFacts) -> str:
    process, standing = PROCESSES[key], each.job.lathe.standings[key]
    if standing.parts:
        parts = f"{standing.parts} part" + ("" if standing.parts == 1 else "s")
        return sentence(f"{process.plural}: shown by {parts} on {each.job.lathe.name}")
    return sentence(f"{process.plural}: assumed; {process.source}")


def _tests(book: Book, facts: EngineFacts) -> list[Tested]:
    return [test for each in facts.duties for test in book.state.tests_of(each.binding.id)]
