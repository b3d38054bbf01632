"""Writers killed at random moments: what was acknowledged is there, once, and nothing is torn."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from benchproof.book.errors import ReadOnlyBook
from benchproof.book.store import Entry, Store

KILLS = int(os.environ.get("BENCHPROOF_KILLS", "300"))

WRITER = """
import os, sys
from pathlib import Path
from benchproof.book.store import Entry, Store
store = Store.open(Path(sys.argv[1]), wait=60.0)
told = os.open(sys.argv[2], os.O_WRONLY | os.O_APPEND | os.O_CREAT)
number = 0
while True:
    number += 1
    group = f"{os.getpid()}-{sys.argv[3]}-{number}"
    entries = [Entry("measured", {"group": group, "of": 3, "x": "y" * 300}) for _ in range(3)]
    made = store.add(entries, [os.urandom(3000)])
    os.write(told, "".join(record.id + "\\n" for record in made).encode())
"""


def start(book: Path, told: Path, number: int) -> subprocess.Popen[bytes]:
    # A writer killed while it mends a book leaves its copy: here, not among other people's files.
    surroundings = os.environ | {"TMPDIR": str(told.parent)}
    words = [sys.executable, "-c", WRITER, str(book), str(told), str(number)]
    return subprocess.Popen(words, env=surroundings)


def wait_for_words(told: Path, running: list[subprocess.Popen[bytes]]) -> None:
    until = time.monotonic() + 60.0
    while not (told.exists() and told.stat().st_size):
        assert time.monotonic() < until, "no writer wrote anything"
        assert all(each.poll() is None for each in running), "a writer stopped by itself"
        time.sleep(0.002)


def check(book: Path, folder: Path) -> int:
    """Open the book; everything acknowledged is there once, every group is whole."""
    with Store.open(book) as store:
        times = Counter(record.id for record in store.records)
        groups = Counter(record.body["group"] for record in store.records)
        store.check_contents()
    told = [line for path in folder.glob("*.told") for line in path.read_text().splitlines()]
    assert [key for key in told if times[key] != 1] == []
    assert set(groups.values()) <= {3}
    return len(told)


@pytest.mark.parametrize(("at_once", "share"), [(1, 0.4), (4, 0.6)])
def test_killed_writers_lose_nothing_that_was_acknowledged(
    tmp_path: Path, at_once: int, share: float
) -> None:
    moment = random.Random(at_once)
    kills, acknowledged, half_written, number = round(KILLS * share), 0, 0, 0
    while number < kills:
        folder = tmp_path / str(number)
        folder.mkdir()
        book = folder / "kept.book"
        Store.create(book).close()
        for _ in range(5):
            told = folder / f"{number}.told"
            running = [start(book, told, number + each) for each in range(at_once)]
            try:
                wait_for_words(told, running)
                for each in running:
                    time.sleep(moment.uniform(0.005, 0.060) / at_once)
                    each.kill()
            finally:
                for each in running:
                    each.kill()
                    each.wait()
            number += at_once
            half_written += book.with_name("kept.book-journal").exists()
            acknowledged += check(book, folder)
            if number >= kills:
                break
    assert acknowledged > 3 * kills
    assert half_written > 0 or kills < 50, "no kill ever came within a transaction"


STOPPED = """
import os, sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("PRAGMA cache_size = 1")
connection.execute("BEGIN IMMEDIATE")
for number in range(100):
    connection.execute("INSERT INTO content VALUES (?, ?)", (str(number), bytes(5000)))
os._exit(1)
"""


def test_what_was_left_half_written_is_undone_where_it_may_be(tmp_path: Path) -> None:
    book = tmp_path / "kept.book"
    with Store.create(book) as store:
        made = store.add([Entry("note", {"text": "x" * 9000}, id=f"{n}") for n in range(9)])
        whole = book.read_bytes()
    subprocess.run([sys.executable, "-c", STOPPED, str(book)], check=False)
    torn = book.read_bytes()
    assert torn != whole
    with pytest.raises(ReadOnlyBook, match="midst of writing"):
        Store.open(book, read_only=True)
    assert book.read_bytes() == torn
    with Store.open(book) as store:
        assert store.records == made
        assert store.contents() == []
    assert book.read_bytes() == whole
