"""What bench tests of earlier parts in a book taught, for the next part of the same duty.

Tests teach forwards in time: a part that is tested itself hears only of parts tested before it, so
that no reading comes back to it as news of others. A part cut further since its test still teaches
what it showed then, itself included. What was learned is kept in the cache beside the book, as it
takes seconds to reckon.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from benchproof.book.cache import Cache
from benchproof.book.state import Binding, Tested
from benchproof.book.tested import key_of, last_test, standing_test, taught_by_test
from benchproof.duties import load_duty
from benchproof.reckon.taught import Taught
from benchproof.specs import SpecError, spread_from_json, spread_to_json

if TYPE_CHECKING:
    from benchproof.book.model import Book

_SCHEME: Final = "taught 1"


def taught(book: Book, binding: Binding) -> Taught | None:
    """What tests of other parts showed, before this one was tested itself, if anything."""
    if not load_duty(binding.duty).for_the_next:
        return None
    own = standing_test(book, binding)
    earlier: list[tuple[tuple[str, int], Binding, Tested]] = []
    for other in book.state.bindings.values():
        test = last_test(book, other) if other.duty == binding.duty else None
        if test is not None and (own is None or test.order < own.order):
            earlier.append((test.order, other, test))
    found = None
    if earlier:
        cache = Cache.beside(Path(book.store.path))
        try:
            for _, other, test in sorted(earlier, key=lambda each: each[0]):
                found = _after(book, other, test, found, cache) or found
        finally:
            cache.close()
    return found


def _after(
    book: Book, binding: Binding, test: Tested, before: Taught | None, cache: Cache
) -> Taught | None:
    """What is known after a part's tests, from what was known before; ``None`` if they fail."""
    try:
        job = book.job_alone(binding, before)
    except SpecError:  # one part that cannot be read must not stop the others
        return None
    key = hashlib.sha256(f"{_SCHEME} {binding.name} {key_of(job, test)}".encode()).hexdigest()
    kept = cache.get(key)
    if kept is None:
        kept = _plain(taught_by_test(job, test, part=binding.name))
        cache.put(key, kept)
    return _read(kept)


def _plain(found: Taught | None) -> dict[str, Any]:
    if found is None:
        return {}
    return {
        "spreads": {name: spread_to_json(spread) for name, spread in found.spreads.items()},
        "means": found.means,
        "covariance": found.covariance,
        "parts": found.parts,
    }


def _read(kept: dict[str, Any]) -> Taught | None:
    """What the cache held; one that is not whole is no evidence and says nothing."""
    try:
        return Taught(
            {name: spread_from_json(spread) for name, spread in kept["spreads"].items()},
            tuple(kept["means"]),
            tuple(tuple(row) for row in kept["covariance"]),
            tuple(kept["parts"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError):
        return None
