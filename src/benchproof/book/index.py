"""Which records of a book belong together: what is about a thing, what corrects or strikes it out.

Made once and carried on as records are added, so that a page about one thing need not read all.
"""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heapify, heappop, heappush

from benchproof.book.records import Record


class Index:
    """Which records belong together, so that a page need not read a whole book for one thing.

    ``roots`` gives for each record the first one of what it corrects or strikes out.
    """

    def __init__(self) -> None:
        self.seen = 0
        self.roots: dict[str, str] = {}
        self.struck: dict[str, str] = {}
        self._after: dict[str, tuple[str, ...]] = {}
        self._of_root: dict[str, tuple[int, ...]] = {}
        self._of_subject: dict[str, tuple[int, ...]] = {}
        self._in_order: tuple[str, ...] = ()

    def followed_by(self, records: Sequence[Record]) -> Index:
        """The index of a book with more records at its end; this one stays as it is."""
        found = Index()
        found.seen = self.seen + len(records)
        for name, held in vars(self).items():
            if isinstance(held, dict):
                setattr(found, name, held.copy())
        of_root: dict[str, list[int]] = {}
        of_subject: dict[str, list[int]] = {}
        for place, record in enumerate(records, self.seen):
            before = record.supersedes
            root = found.roots[record.id] = record.id if before is None else found.roots[before]
            of_root.setdefault(root, []).append(place)
            if record.subject is not None:
                of_subject.setdefault(record.subject, []).append(place)
            if before is None:
                continue
            if record.kind == "struck out":
                found.struck[before] = record.id
            else:
                found._after[before] = (*found._after.get(before, ()), record.id)
        for table, more in ((found._of_root, of_root), (found._of_subject, of_subject)):
            for key, places in more.items():
                table[key] = (*table.get(key, ()), *places)
        return found

    def corrected_by(self, key: str) -> str | None:
        """The last correction of a record that is not struck out itself."""
        later = reversed(self._after.get(key, ()))
        return next((each for each in later if each not in self.struck), None)

    def about(self, wanted: set[str]) -> list[int]:
        """Places of all records about these things, and about what belongs to them."""
        tables = (self._of_root, self._of_subject)
        waiting = [p for key in wanted for table in tables for p in table.get(key, ())]
        heapify(waiting)
        found: list[int] = []
        known = set(wanted)
        at = self._roots_at()
        while waiting:
            place = heappop(waiting)
            if found and place == found[-1]:
                continue
            found.append(place)
            root = at[place]
            if root not in known:
                known.add(root)
                more = (*self._of_root[root], *self._of_subject.get(root, ()))
                for later in more:
                    if later > place:
                        heappush(waiting, later)
        return found

    def _roots_at(self) -> Sequence[str]:
        """Root of the record at each place; ids were taken in in that order."""
        if len(self._in_order) != self.seen:
            self._in_order = tuple(self.roots.values())
        return self._in_order
