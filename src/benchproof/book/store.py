"""The store: one SQLite file of records that are added to and never changed.

Every record carries the hash of all before it, so that a changed byte shows. A record has an id
made by whoever writes it: sent twice it is stored once. A correction is a new record that
supersedes an older one. All records are read, and the chain checked, when a book is opened;
nothing relies on an index to be undamaged.

A rollback journal with EXTRA synchronous: what was acknowledged is on the disk.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
import uuid
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from benchproof.book.errors import (
    BookError,
    BusyBook,
    Conflict,
    DamagedBook,
    ForeignFile,
    FullDisk,
    NewerBook,
    NoBook,
    OlderBook,
    ReadOnlyBook,
)

APPLICATION: Final = 0x42507266  # "BPrf", in the file's header
VERSION: Final = 1
START: Final = b"benchproof book"
WAIT: Final = 10.0  # s to wait for another writer
LARGEST_CONTENT: Final = 64 * 2**20

_SCHEMA = """
CREATE TABLE record (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    kind TEXT NOT NULL,
    subject TEXT,
    supersedes TEXT,
    at TEXT NOT NULL,
    who TEXT NOT NULL,
    body TEXT NOT NULL,
    chain BLOB NOT NULL
) STRICT;
CREATE TABLE content (
    sha256 TEXT PRIMARY KEY,
    data BLOB NOT NULL
) STRICT;
CREATE TRIGGER record_stays BEFORE UPDATE ON record
BEGIN SELECT RAISE(ABORT, 'evidence is added to, never changed'); END;
CREATE TRIGGER record_is_kept BEFORE DELETE ON record
BEGIN SELECT RAISE(ABORT, 'evidence is added to, never removed'); END;
CREATE TRIGGER content_stays BEFORE UPDATE ON content
BEGIN SELECT RAISE(ABORT, 'evidence is added to, never changed'); END;
CREATE TRIGGER content_is_kept BEFORE DELETE ON content
BEGIN SELECT RAISE(ABORT, 'evidence is added to, never removed'); END;
"""


@dataclass(frozen=True)
class Record:
    """One record: what was entered, about what, by whom and when."""

    seq: int
    id: str
    kind: str
    subject: str | None
    supersedes: str | None
    at: str
    who: str
    text: str
    chain: bytes

    @cached_property
    def body(self) -> dict[str, Any]:
        """What was entered, as plain data."""
        found: dict[str, Any] = json.loads(self.text)
        return found


@dataclass(frozen=True)
class Entry:
    """A record to be written. ``id`` is made here unless its writer made one."""

    kind: str
    body: Mapping[str, Any]
    subject: str | None = None
    supersedes: str | None = None
    who: str = ""
    at: str = ""
    id: str = ""


def new_id() -> str:
    """Make an id nobody else makes."""
    return uuid.uuid4().hex


def now() -> str:
    """The time of entry, UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def canonical(body: Mapping[str, Any]) -> str:
    """JSON with one spelling for one content."""
    return json.dumps(
        body, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
    )


class Store:
    """An open book: every record in the order of entry, and contents by their hash."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection
        self.records: list[Record] = []
        self._by_id: dict[str, Record] = {}

    @classmethod
    def create(cls, path: Path) -> Store:
        """Make an empty book; refuses a path that is taken."""
        if path.exists():
            raise Conflict(f"{path} is there already; choose another name, or open it")
        with _in_words(path):
            connection = _connect(path)
            connection.executescript(
                f"BEGIN EXCLUSIVE; {_SCHEMA} PRAGMA application_id = {APPLICATION}; "
                f"PRAGMA user_version = {VERSION}; COMMIT;"
            )
        return cls(path, connection)

    @classmethod
    def open(cls, path: Path) -> Store:
        """Open a book, read all of it and check it; raises a :class:`BookError` in words."""
        if not path.is_file():
            raise NoBook(f"there is no book at {path}")
        _check_header(path)
        with _in_words(path):
            connection = _connect(path)
            found = cls(path, connection)
            if [row[0] for row in connection.execute("PRAGMA quick_check(1)")] != ["ok"]:
                raise DamagedBook(_damaged(path))
            found.refresh()
        return found

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def head(self) -> bytes:
        """Hash of everything in the book: equal for equal books only."""
        return self.records[-1].chain if self.records else _start()

    def refresh(self) -> None:
        """Read what other programs have added since."""
        with _in_words(self.path):
            self._read_on()

    def _read_on(self) -> None:
        rows = self._connection.execute(
            "SELECT seq, id, kind, subject, supersedes, at, who, body, chain FROM record "
            "WHERE seq > ? ORDER BY seq",
            (len(self.records),),
        )
        for row in rows:
            record = Record(*row)
            expected = _link(self.head, record)
            if record.seq != len(self.records) + 1 or record.chain != expected:
                raise DamagedBook(_damaged(self.path, f"at record {record.seq}"))
            self.records.append(record)
            self._by_id[record.id] = record

    def get(self, key: str) -> Record | None:
        """The record with this id, if there is one."""
        return self._by_id.get(key)

    def add(self, entries: Iterable[Entry], contents: Iterable[bytes] = ()) -> list[Record]:
        """Write records, all or none, and hand them back once they are on the disk.

        An entry whose id the book holds already is handed back as it stands when it says the
        same, and refused with :class:`Conflict` when it does not.
        """
        kept = list(contents)
        for data in kept:
            if len(data) > LARGEST_CONTENT:
                raise Conflict(
                    f"a file of {len(data) / 2**20:.0f} MiB is too large: 64 at the most"
                )
        with _in_words(self.path), self._writing():
            self._read_on()
            written = [self._write(entry) for entry in entries]
            for data in kept:
                self._connection.execute(
                    "INSERT OR IGNORE INTO content VALUES (?, ?)",
                    (hashlib.sha256(data).hexdigest(), data),
                )
        return written

    @contextmanager
    def _writing(self) -> Iterator[None]:
        before = len(self.records)
        self._connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._connection.execute("COMMIT")
        except BaseException:
            for record in self.records[before:]:
                self._by_id.pop(record.id, None)
            del self.records[before:]
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK")
            raise

    def _write(self, entry: Entry) -> Record:
        key = entry.id or new_id()
        text = canonical(entry.body)
        held = self._by_id.get(key)
        if held is not None:
            same = (held.kind, held.subject, held.supersedes, held.text)
            if same != (entry.kind, entry.subject, entry.supersedes, text):
                raise Conflict(f"the book holds another record under the id {key}")
            return held
        for other in (entry.subject, entry.supersedes):
            if other is not None and other not in self._by_id:
                raise Conflict(f"the book holds no record {other}")
        record = Record(
            len(self.records) + 1,
            key,
            entry.kind,
            entry.subject,
            entry.supersedes,
            entry.at or now(),
            entry.who,
            text,
            b"",
        )
        record = Record(*_fields(record), _link(self.head, record))
        self._connection.execute(
            "INSERT INTO record VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (*_fields(record), record.chain),
        )
        self.records.append(record)
        self._by_id[key] = record
        return record

    def content(self, sha256: str) -> bytes:
        """A file kept in the book, checked against its hash."""
        with _in_words(self.path):
            row = self._connection.execute(
                "SELECT data FROM content WHERE sha256 = ?", (sha256,)
            ).fetchone()
        if row is None:
            raise DamagedBook(f"{self.path} lacks the file {sha256[:12]}… that it speaks of")
        data: bytes = row[0]
        if hashlib.sha256(data).hexdigest() != sha256:
            raise DamagedBook(_damaged(self.path, "in a file kept in it"))
        return data

    def contents(self) -> list[str]:
        """Hashes of all files kept in the book, in order."""
        with _in_words(self.path):
            return sorted(row[0] for row in self._connection.execute("SELECT sha256 FROM content"))

    def copy_to(self, path: Path) -> None:
        """Copy the book as it stands, consistent while others write."""
        with _in_words(path):
            target = sqlite3.connect(path)
            try:
                self._connection.backup(target)
            finally:
                target.close()


def _fields(record: Record) -> tuple[int, str, str, str | None, str | None, str, str, str]:
    return (
        record.seq,
        record.id,
        record.kind,
        record.subject,
        record.supersedes,
        record.at,
        record.who,
        record.text,
    )


def _start() -> bytes:
    return hashlib.sha256(START).digest()


def _link(before: bytes, record: Record) -> bytes:
    """Hash of a record and all before it; lengths keep neighbouring fields apart."""
    found = hashlib.sha256(before)
    for field in _fields(record):
        data = b"\xff" if field is None else str(field).encode()
        found.update(len(data).to_bytes(8, "big"))
        found.update(data)
    return found.digest()


def _connect(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=WAIT, isolation_level=None)
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA trusted_schema = OFF")
    return connection


def _check_header(path: Path) -> None:
    """Tell foreign, newer and older files from the first hundred bytes, without opening them."""
    try:
        with path.open("rb") as file:
            header = file.read(100)
    except OSError as wrong:
        raise NoBook(f"{path} cannot be read: {wrong.strerror}") from wrong
    if len(header) < 100 or header[:16] != b"SQLite format 3\x00":
        raise ForeignFile(f"{path} is no book of this program, or its beginning is damaged")
    if int.from_bytes(header[68:72], "big") != APPLICATION:
        raise ForeignFile(f"{path} is a database, but no book of this program")
    version = int.from_bytes(header[60:64], "big")
    if version > VERSION:
        raise NewerBook(
            f"{path} was written by a later version of this program (book version {version}, "
            f"here {VERSION}); it is left untouched. Install the later version."
        )
    if version < VERSION:
        raise OlderBook(f"{path} is of book version {version}; upgrade it to {VERSION} first")


def _damaged(path: Path, where: str = "") -> str:
    place = f" {where}" if where else ""
    return (
        f"{path} is damaged{place}: what it holds is not what was written. It is left untouched. "
        "Go back to the newest backup that opens; copy the damaged file away first."
    )


@contextmanager
def _in_words(path: Path) -> Iterator[None]:
    """Turn what SQLite and the system say into words for a builder."""
    try:
        yield
    except BookError:
        raise
    except sqlite3.Error as wrong:
        raise _worded(path, wrong) from wrong
    except (UnicodeDecodeError, OverflowError, MemoryError) as wrong:
        raise DamagedBook(_damaged(path)) from wrong
    except OSError as wrong:
        raise ReadOnlyBook(f"{path} cannot be written: {wrong.strerror}") from wrong


def _worded(path: Path, wrong: sqlite3.Error) -> BookError:
    name = getattr(wrong, "sqlite_errorname", "") or ""
    text = str(wrong)
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return BusyBook(f"{path} is being written by another program; close it, or try again")
    if name.startswith("SQLITE_FULL"):
        return FullDisk(f"no room is left on the disk of {path}; nothing of this was written")
    if name.startswith(("SQLITE_READONLY", "SQLITE_PERM", "SQLITE_CANTOPEN", "SQLITE_AUTH")):
        return ReadOnlyBook(f"{path} cannot be written: look at the rights of file and folder")
    if name.startswith("SQLITE_CONSTRAINT"):
        return Conflict(f"{path} refused the record: {text}")
    if name.startswith("SQLITE_IOERR"):
        return ReadOnlyBook(f"{path} could not be read or written: the disk or the net failed")
    return DamagedBook(_damaged(path))
