"""Commands that ask a book: what holds an engine back, what to cut next, what was entered."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Annotated, Any, Final, Literal

from cyclopts import Parameter

from benchproof.book_commands.opening import BookFile, opened
from benchproof.exits import ANSWERED, NO_FIT, say

AsJson = Annotated[
    bool, Parameter(name="--json", negative="", help="Plain data in SI instead of words.")
]
InUnits = Annotated[Literal["metric", "inch"], Parameter(help="Units to answer in.")]
WithSources = Annotated[
    bool, Parameter(name="--sources", negative="", help="List what it rests on.")
]


def review(
    engine: str | None = None,
    *,
    json: AsJson = False,
    units: InUnits = "metric",
    book: BookFile = None,
) -> int:
    """Judge every duty and lot of an engine, the worst first, and say what to do next.

    Parameters
    ----------
    engine
        Which engine; all of the book if left out.
    """
    from dataclasses import asdict
    from pathlib import Path

    from benchproof.book.cache import Cache
    from benchproof.book.lots import lots_under_way
    from benchproof.book.review import review as judged
    from benchproof.telling_books import tell_review
    from benchproof.telling_lots import tell_lots

    with opened(book) as kept:
        cache = Cache.beside(Path(kept.store.path))
        try:
            verdicts = judged(kept, engine, cache=cache, progress=_progress())
            lots = lots_under_way(kept, engine, cache=cache)
        finally:
            cache.close()
        owner = None if engine is None else kept.find("engine", engine).name
    if json:
        say([*(asdict(each) for each in verdicts), *(asdict(each) for each in lots)])
    else:
        say(tell_review(verdicts, owner, units) + tell_lots(lots, units))
    return ANSWERED


def _progress() -> Callable[[int, int, str], None] | None:
    """Say which duty is being reckoned, where somebody is looking at a terminal."""
    if not sys.stderr.isatty():
        return None

    def told(done: int, whole: int, name: str) -> None:
        text = f"{done + 1} of {whole}: {name}" if name else ""
        sys.stderr.write(f"\r{text[:78]:<78}" + ("" if name else "\r"))
        sys.stderr.flush()

    return told


def plan(
    name: str,
    *,
    json: AsJson = False,
    units: InUnits = "metric",
    sources: WithSources = False,
    book: BookFile = None,
) -> int:
    """Tell all about one duty of the book: what to cut, or what its bench test showed.

    Parameters
    ----------
    name
        Which duty of the book, such as left piston fit.
    """
    from benchproof.book.tested import result_of, standing_test
    from benchproof.job_files import plain_job
    from benchproof.listing import tell_made, tell_understood
    from benchproof.reckon.finished import still_to_make
    from benchproof.reckon.learning import ImpossibleReadings
    from benchproof.reckon.plain import plain_answer, plain_result
    from benchproof.reckon.plan import plan as planned
    from benchproof.telling import tell_plan, tell_result
    from benchproof.telling_books import tell_impossible, tell_outdated

    with opened(book) as kept:
        bound = kept.binding(name)
        job, understood = kept.job(bound), kept.understood(bound)
        tests = kept.state.tests_of(bound.id)
        last = standing_test(kept, bound)
        stands = last is not None
        last = last or (tests[-1] if tests else None)
    about: dict[str, Any] = {"name": bound.name, **plain_job(job)}
    below = tell_made(job.duty.features(job.spec), job.made) + tell_understood(understood)
    if last is not None and stands:
        try:
            found = result_of(job, last)
        except ImpossibleReadings as impossible:
            say(
                {**about, "impossible": str(impossible)}
                if json
                else tell_impossible(f"{impossible}")
            )
            return NO_FIT
        told = f"{bound.name}\n" + tell_result(found, units, all_sources=sources) + below
        say({**about, **plain_result(found)} if json else told)
        return NO_FIT if found.contradicted else ANSWERED
    answer = planned(job, more_flags=still_to_make(job.duty, job.spec, job.made))
    told = f"{bound.name}\n" + tell_plan(answer, units, all_sources=sources) + below
    if last is not None:
        told += tell_outdated(last)
    say({**about, **plain_answer(answer)} if json else told)
    return ANSWERED if answer.window.lower is not None else NO_FIT


def history(name: str | None = None, *, book: BookFile = None) -> int:
    """Tell every record in the order of entry, corrected and struck out ones too.

    Parameters
    ----------
    name
        Only what is about this engine, part, piece, duty or machine, or an id.
    """
    from benchproof.book.history import history as lines
    from benchproof.book.history import named
    from benchproof.telling_books import tell_history

    with opened(book) as kept:
        about = None if name is None else named(kept, name)
        found = lines(kept, about)
        names = {key: thing.name for key, thing in kept.state.things.items()}
        names |= {key: bound.name for key, bound in kept.state.bindings.items()}
    say(tell_history(found, names))
    return ANSWERED


COMMANDS: Final[dict[str, Callable[..., int]]] = {
    "review": review,
    "plan": plan,
    "history": history,
}
