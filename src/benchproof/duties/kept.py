"""What comes of draws alone is worked out once, not again for every aim that is tried on them.

A sweep hands the very same arrays of unknowns in a hundred times and changes one size. What such
arrays lead to is kept for each thread until others come. Draws are never changed in place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from threading import local
from typing import Generic, TypeVar

from benchproof.duties.contract import Array, Samples

T = TypeVar("T")


class Kept(Generic[T]):
    """Figures of the draws that ``names`` name, as ``work_out`` makes them of all samples.

    ``work_out`` may look at no other draws, and its callers change nothing that it hands out.
    """

    def __init__(self, names: Sequence[str], work_out: Callable[[Samples], T]) -> None:
        self._names = tuple(dict.fromkeys(names))
        self._work_out = work_out
        self._last = local()

    def __call__(self, samples: Samples) -> T:
        """Figures of these draws: those kept, if every array is the very one they came of."""
        drawn = tuple(samples[name] for name in self._names)
        last: tuple[tuple[Array, ...], T] | None = getattr(self._last, "of", None)
        if last is not None and all(a is b for a, b in zip(last[0], drawn, strict=True)):
            return last[1]
        found = self._work_out(samples)
        self._last.of = (drawn, found)
        return found
