"""A book in open formats: JSON and CSV files with their checksums, and a book made of them again.

``records.jsonl`` holds every field of every record, one JSON object a line; ``files`` the kept
files by their SHA-256; ``sheets`` tables for people. ``manifest.json`` counts and checks it all.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from benchproof.book.errors import DamagedBook, ForeignFile, NewerBook, OlderBook
from benchproof.book.opening import in_words
from benchproof.book.placing import placed, synchronize
from benchproof.book.records import Record, canonical
from benchproof.book.sheets import write_sheets
from benchproof.book.store import VERSION, Store

FORMAT: Final = "benchproof export"
FORMAT_VERSION: Final = 1
_NUMBERS: Final = ("format_version", "book_version", "records", "contents")
_KEYS: Final = {"format", *_NUMBERS, "head", "files"}
_FIELDS: Final = Record._fields


def export_book(store: Store, folder: Path) -> Path:
    """Write a book out in open formats, to a folder that is not there yet."""
    with in_words(folder), placed(folder) as part:
        store.refresh()
        records, contents = list(store.records), store.contents()
        for each in (part, part / "files", part / "sheets"):
            each.mkdir()
        with (part / "records.jsonl").open("w", encoding="utf-8", newline="\n") as file:
            for record in records:
                row = record._asdict() | {"text": record.body, "chain": record.chain.hex()}
                file.write(canonical_line(row) + "\n")
        for sha256 in contents:
            (part / "files" / sha256).write_bytes(store.content(sha256))
        write_sheets(records, part / "sheets")
        manifest = {
            "format": FORMAT,
            "format_version": FORMAT_VERSION,
            "book_version": VERSION,
            "records": len(records),
            "contents": len(contents),
            "head": store.head.hex(),
            "files": {name: _hash(part / name) for name in _names(part)},
        }
        told = json.dumps(manifest, indent=1, ensure_ascii=False) + "\n"
        (part / "manifest.json").write_text(told, encoding="utf-8", newline="\n")
        for path in part.rglob("*"):
            synchronize(path)
    return folder


def canonical_line(row: dict[str, Any]) -> str:
    """JSON of a record with one spelling for one content."""
    return json.dumps(row, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def import_book(folder: Path, path: Path) -> Path:
    """Make a new book of an export: the same records, times, chain and files.

    Raises a :class:`BookError` when anything is missing, damaged or too much; no book is then
    left behind.
    """
    with in_words(path), placed(path) as part:
        manifest = _manifest(folder)
        if sorted(manifest["files"]) != _names(folder):
            raise DamagedBook(f"the export in {folder} lacks a file, or holds one too many")
        for name, sha256 in manifest["files"].items():
            if _hash(folder / name) != sha256:
                raise DamagedBook(f"{name} in the export in {folder} is not as it was written")
        records = list(_records(folder))
        names = [name for name in manifest["files"] if name.startswith("files/")]
        with Store.create(part) as store:
            store.add_again(records, ((folder / name).read_bytes() for name in names))
        with Store.open(part, read_only=True) as made:
            made.check_contents()
            found = (len(made.records), len(made.contents()), made.head.hex())
        if found != (manifest["records"], manifest["contents"], manifest["head"]):
            raise DamagedBook(f"the export in {folder} does not hold what its manifest says")
    return path


def _manifest(folder: Path) -> dict[str, Any]:
    path = folder / "manifest.json"
    if not path.is_file():
        raise ForeignFile(f"{folder} holds no manifest.json: it is no export, or not a whole one")
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (ValueError, RecursionError) as wrong:
        raise DamagedBook(f"{path} cannot be read; export the book again") from wrong
    if not isinstance(found, dict) or found.get("format") != FORMAT:
        raise ForeignFile(f"{path} is not of an export of this program")
    whole = set(found) == _KEYS and isinstance(found["files"], dict)
    if not whole or not all(type(found[name]) is int for name in _NUMBERS):
        raise DamagedBook(f"{path} is not as it was written; export the book again")
    versions = (found["format_version"], found["book_version"])
    if versions[0] > FORMAT_VERSION or versions[1] > VERSION:
        raise NewerBook(f"{folder} was exported by a later version of this program; install it")
    if versions != (FORMAT_VERSION, VERSION):
        raise OlderBook(f"{folder} is of an older version; export the upgraded book again")
    return found


def _records(folder: Path) -> Iterator[Record]:
    with (folder / "records.jsonl").open(encoding="utf-8", newline="\n") as file:
        for number, line in enumerate(file, 1):
            try:
                row = json.loads(line)
                fields = {**row, "text": canonical(row["text"])}
                fields["chain"] = bytes.fromhex(row["chain"])
                if set(fields) != set(_FIELDS):
                    raise ValueError
                record = Record(**fields)
            except (ValueError, TypeError, KeyError, RecursionError) as wrong:
                raise DamagedBook(f"line {number} of records.jsonl is no record") from wrong
            yield record


def _names(folder: Path) -> list[str]:
    found = (path for path in folder.rglob("*") if path.is_file() or path.is_symlink())
    return sorted(
        name for path in found if (name := path.relative_to(folder).as_posix()) != "manifest.json"
    )


def _hash(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
