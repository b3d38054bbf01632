"""The store: one SQLite file of records that are added to and never changed.

Every record carries the hash of all before it, so that a changed byte shows. A record has an id
made by whoever writes it: sent twice it is stored once. A correction is a new record that
supersedes an older one. All records are read, and the chain checked, when a book is opened;
no reading relies on an index to be undamaged.

A rollback journal with EXTRA synchronous: what was acknowledged is on the disk. Opening changes
nothing but this: a transaction whose writer was stopped is undone, once a copy has shown that a
sound book comes of it.
"""

from __future__ import annotations

import hashlib
import shutil
import sqlite3
import tempfile
import threading
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Final

from benchproof.book.errors import BookError, Conflict, DamagedBook, ReadOnlyBook
from benchproof.book.opening import (
    APPLICATION,
    WAIT,
    connect,
    damaged,
    in_words,
    is_half_written,
    refuse_other_version,
    refuse_unsound,
    undo_half_written,
)
from benchproof.book.placing import journal_of, placed
from benchproof.book.records import (
    FIRST_CHAIN,
    Entry,
    Record,
    canonical,
    complete,
    link,
    new_id,
    now,
)

__all__ = ["VERSION", "WAIT", "Entry", "Record", "Store", "canonical", "new_id", "now"]

VERSION: Final = 1
LARGEST_CONTENT: Final = 64 * 2**20  # bytes of one file kept in a book

SCHEMA: Final = (
    """CREATE TABLE record (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    kind TEXT NOT NULL,
    subject TEXT,
    supersedes TEXT,
    at TEXT NOT NULL,
    who TEXT NOT NULL,
    body TEXT NOT NULL,
    chain BLOB NOT NULL
) STRICT""",
    """CREATE TABLE content (
    sha256 TEXT PRIMARY KEY,
    data BLOB NOT NULL
) STRICT""",
    *(
        f"CREATE TRIGGER {table}_{name} BEFORE {deed} ON {table}\n"
        f"BEGIN SELECT RAISE(ABORT, 'evidence is added to, never {done}'); END"
        for table in ("record", "content")
        for name, deed, done in (("stays", "UPDATE", "changed"), ("is_kept", "DELETE", "removed"))
    ),
)

_COLUMNS: Final = "seq, id, kind, subject, supersedes, at, who, body, chain"


class Store:
    """An open book: every record in the order of entry, and contents by their hash.

    Threads may share it: one is served at a time.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self.records: list[Record] = []
        self._connection = connection
        self._by_id: dict[str, Record] = {}
        self._lock = threading.RLock()

    @classmethod
    def create(cls, path: Path, *, wait: float = WAIT) -> Store:
        """Make an empty book; refuses a path that is taken."""
        with in_words(path):
            with placed(path) as part, closing(connect(part, "rwc", wait=wait)) as connection:
                connection.executescript(
                    f"BEGIN EXCLUSIVE; {'; '.join(SCHEMA)}; "
                    f"PRAGMA application_id = {APPLICATION}; "
                    f"PRAGMA user_version = {VERSION}; COMMIT;"
                )
            return cls(path, connect(path, "rw", wait=wait))

    @classmethod
    def open(cls, path: Path, *, read_only: bool = False, wait: float = WAIT) -> Store:
        """Open a book, read all of it and check it; raises a :class:`BookError` in words.

        ``read_only`` opens what cannot or must not be written. ``wait`` [s] is how long another
        writer may keep this one waiting.
        """
        with in_words(path):
            if path.is_file() and is_half_written(path, wait=wait):
                if read_only:
                    raise ReadOnlyBook(
                        f"{path} was left in the midst of writing and must be opened once where "
                        "it can be written; nothing that was acknowledged is lost"
                    )
                cls._mend(path, wait)
            refuse_other_version(path, VERSION)
            with closing(connect(path, "ro", wait=wait)) as reading:
                found = cls(path, reading)
                found._read_all()
            # Only a file that was found sound is opened so that it can be written.
            found._connection = connect(path, "ro" if read_only else "rw", wait=wait)
        return found

    @classmethod
    def _mend(cls, path: Path, wait: float) -> None:
        """Undo what a stopped writer left half written, unless no sound book would come of it."""
        real = path.resolve()
        for last in (False, False, True):
            seen = _state(real)
            with tempfile.TemporaryDirectory(prefix="benchproof-") as place:
                copy = Path(place, "copy.book")
                try:
                    shutil.copyfile(real, copy)
                    shutil.copyfile(journal_of(real), journal_of(copy))
                    undo_half_written(copy)
                    cls.open(copy, read_only=True).close()
                except FileNotFoundError:
                    return  # somebody else has mended it
                except (BookError, sqlite3.Error) as wrong:
                    if not last and _state(real) != seen:
                        continue  # somebody else is about it: the copy is of two times
                    if isinstance(wrong, BookError):
                        raise type(wrong)(str(wrong).replace(str(copy), str(path))) from wrong
                    raise
            break
        undo_half_written(path, wait=wait)

    def close(self) -> None:
        """Close the file."""
        with self._lock:
            self._connection.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def head(self) -> bytes:
        """Hash of all records: equal for equal books only."""
        return self.records[-1].chain if self.records else FIRST_CHAIN

    def refresh(self) -> None:
        """Read what other programs have added since."""
        with in_words(self.path), self._lock:
            self._read_on()

    def _read_all(self) -> None:
        """Read and check everything but the contents, at one moment in the life of the file."""
        self._connection.execute("BEGIN")
        self._check_all()
        self._connection.execute("COMMIT")

    def _check_all(self) -> None:
        found = self._connection.execute("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL")
        if sorted(_squeezed(row[0]) for row in found) != sorted(map(_squeezed, SCHEMA)):
            raise DamagedBook(damaged(self.path, "in its layout"))
        refuse_unsound(self.path, self._connection)
        self._read_on()
        # The index of ids has an entry for each record: the last records cannot go unnoticed.
        (count,) = self._connection.execute(
            "SELECT count(*) FROM record INDEXED BY sqlite_autoindex_record_1 WHERE id > ''"
        ).fetchone()
        if count != len(self.records):
            raise DamagedBook(damaged(self.path, "at its end"))

    def _read_on(self) -> None:
        """Read records from where reading ended; the last one read must still be there."""
        seen = len(self.records)
        rows = self._connection.execute(
            f"SELECT {_COLUMNS} FROM record WHERE seq >= ? ORDER BY seq", (seen,)
        )
        if seen and next(rows, None) != self.records[-1]:
            where = f"at record {seen}, or another book was put there"
            raise DamagedBook(damaged(self.path, where))
        records, by_id, head, new = self.records, self._by_id, self.head, tuple.__new__
        try:
            for row in rows:
                seen += 1
                seq, key, kind, subject, supersedes, at, who, text, chain = row
                head = link(head, seq, key, kind, subject, supersedes, at, who, text)
                if (
                    head != chain
                    or seq != seen
                    or key in by_id
                    or (subject is not None and subject not in by_id)
                    or (supersedes is not None and supersedes not in by_id)
                ):
                    raise DamagedBook(damaged(self.path, f"at record {seen}"))
                record = new(Record, row)
                records.append(record)
                by_id[key] = record
        except (TypeError, ValueError) as wrong:
            raise DamagedBook(damaged(self.path, f"at record {seen}")) from wrong

    def get(self, key: str) -> Record | None:
        """The record with this id, if there is one."""
        return self._by_id.get(key)

    def add(self, entries: Iterable[Entry], contents: Iterable[bytes] = ()) -> list[Record]:
        """Write records, all or none, and hand them back once they are on the disk.

        An entry whose id the book holds already is handed back as it stands when it says the
        same, and refused with :class:`Conflict` when it does not.
        """
        asked, kept = list(entries), list(contents)
        with in_words(self.path), self._writing() as made:
            answers = [self._record_for(entry, made) for entry in asked]
            self._insert(made.values(), kept)
        return answers

    def add_again(self, records: Sequence[Record], contents: Iterable[bytes] = ()) -> None:
        """Write records just as another book held them, all or none; they must follow on."""
        with in_words(self.path), self._writing() as made:
            head = self.head
            for seq, record in enumerate(records, len(self.records) + 1):
                again = complete(
                    Entry(
                        record.kind,
                        record.body,
                        record.subject,
                        record.supersedes,
                        record.who,
                        record.at,
                        record.id,
                    ),
                    seq=seq,
                    before=head,
                )
                unknown = {
                    other
                    for other in (record.subject, record.supersedes)
                    if other is not None and not self._holds(other, made)
                }
                if again != record or self._holds(record.id, made) or unknown:
                    raise Conflict(f"record {seq} does not follow on from those before it")
                made[record.id] = record
                head = record.chain
            self._insert(made.values(), contents)

    def record_upgrades(self, entries: Sequence[Entry]) -> None:
        """Within a transaction that its caller holds: read and check all, and add records."""
        self._check_all()
        made: dict[str, Record] = {}
        for entry in entries:
            self._record_for(entry, made)
        self._insert(made.values(), ())

    @contextmanager
    def _writing(self) -> Iterator[dict[str, Record]]:
        """One transaction; records put into what it yields are the book's once it is through."""
        with self._lock:
            self._connection.execute("BEGIN IMMEDIATE")
            made: dict[str, Record] = {}
            try:
                self._read_on()
                yield made
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise
            self.records += made.values()
            self._by_id |= made

    def _holds(self, key: str, made: dict[str, Record]) -> bool:
        return key in self._by_id or key in made

    def _record_for(self, entry: Entry, made: dict[str, Record]) -> Record:
        last = next(reversed(made.values()), None)
        record = complete(
            entry,
            seq=len(self.records) + len(made) + 1,
            before=last.chain if last else self.head,
        )
        held = self._by_id.get(record.id) or made.get(record.id)
        if held is not None:
            for field in ("kind", "subject", "supersedes", "text"):
                if getattr(held, field) != getattr(record, field):
                    raise Conflict(f"the book holds another record under the id {record.id}")
            return held
        for other in (record.subject, record.supersedes):
            if other is not None and not self._holds(other, made):
                raise Conflict(f"the book holds no record {other}")
        made[record.id] = record
        return record

    def _insert(self, records: Iterable[Record], contents: Iterable[bytes]) -> None:
        self._connection.executemany(
            f"INSERT INTO record ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", records
        )
        for data in contents:
            if len(data) > LARGEST_CONTENT:
                raise Conflict(
                    f"a file of {len(data) / 2**20:.0f} MiB is too large: 64 at the most"
                )
            self._connection.execute(
                "INSERT OR IGNORE INTO content (sha256, data) VALUES (?, ?)",
                (hashlib.sha256(data).hexdigest(), data),
            )

    def content(self, sha256: str) -> bytes:
        """A file kept in the book, checked against its hash."""
        with in_words(self.path), self._lock:
            row = self._connection.execute(
                "SELECT data FROM content WHERE sha256 = ?", (sha256,)
            ).fetchone()
        if row is None:
            raise DamagedBook(f"{self.path} lacks the file {sha256[:12]}… that it speaks of")
        data: bytes = row[0]
        if hashlib.sha256(data).hexdigest() != sha256:
            raise DamagedBook(damaged(self.path, "in a file kept in it"))
        return data

    def contents(self) -> list[str]:
        """Hashes of all files kept in the book, in order."""
        with in_words(self.path), self._lock:
            return sorted(
                row[0] for row in self._connection.execute("SELECT sha256 FROM content NOT INDEXED")
            )

    def check_contents(self) -> None:
        """Read every file kept in the book; :class:`DamagedBook` when one is not as it was."""
        for sha256 in self.contents():
            self.content(sha256)

    def copy_to(self, path: Path) -> None:
        """Copy the book as it stands, consistent while others write; refuses a path taken."""
        with (
            in_words(path),
            placed(path) as part,
            closing(connect(part, "rwc")) as target,
            self._lock,
        ):
            self._connection.backup(target)


def _squeezed(sql: str) -> str:
    return " ".join(sql.split())


def _state(path: Path) -> list[tuple[int, int, int] | None]:
    """What shows that a book or its journal was written to."""
    states = [each.stat() if each.exists() else None for each in (path, journal_of(path))]
    return [state and (state.st_ino, state.st_size, state.st_mtime_ns) for state in states]
