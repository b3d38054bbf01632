"""Photographs as papers can show them, without what a camera wrote into them.

A camera writes where a picture was taken, when and by whom. A build story is made to be
published, so all of that is left out; only which way up the picture is stays.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from datetime import date
from typing import Final

_PNG: Final = b"\x89PNG\r\n\x1a\n"
_PNG_TELLS: Final = (b"eXIf", b"tEXt", b"iTXt", b"zTXt", b"tIME")
_ORIENTATION: Final = 0x0112
_TAKEN: Final = 0x9003
_WRITTEN: Final = 0x0132
_OWN_TABLE: Final = 0x8769
_CLOCK_NEVER_SET: Final = "1990"
_START, _SCAN, _EXIF = 0xD8, 0xDA, 0xE1
_JPEG_TELLS: Final = (*range(0xE3, 0xEE), 0xEF, 0xFE)  # notes of programs; colour stays


def ending_of(data: bytes) -> str:
    """Ending of a picture's name by what it begins with, empty for what papers cannot show."""
    if data.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if data.startswith(_PNG):
        return "png"
    if data.startswith((b"GIF87a", b"GIF89a")):
        return "gif"
    return "webp" if data[:4] == b"RIFF" and data[8:12] == b"WEBP" else ""


def bare(data: bytes) -> bytes:
    """Return the same picture without place, time and names; what cannot be read stays as it is."""
    try:
        match ending_of(data):
            case "jpg":
                return b"".join(_jpeg(data))
            case "png":
                return _PNG + b"".join(_png(data))
            case "webp":
                return _webp(data)
    except (struct.error, IndexError):
        pass
    return data


def day_of(data: bytes) -> str:
    """The day that a camera says a photograph was taken, as 2026-03-01; empty where it says none.

    Only a JPEG is asked; a day that cannot be, such as that of a clock never set, counts as none.
    """
    try:
        return next((day for day in _days(data) if day), "")
    except (struct.error, IndexError):
        return ""


def _days(data: bytes) -> Iterator[str]:
    """Days a camera tells: when the picture was taken, else when its file was written."""
    if ending_of(data) != "jpg":
        return
    at = 2
    while data[at + 1] != _SCAN:
        (length,) = struct.unpack(">H", data[at + 2 : at + 4])
        if data[at + 1] == _EXIF and data[at + 4 : at + 10] == b"Exif\0\0":
            table = data[at + 10 : at + 2 + length]
            first = _entries(table, 4)
            if _OWN_TABLE in first:
                yield _day(table, _entries_at(table, first[_OWN_TABLE]).get(_TAKEN, -1))
            yield _day(table, first.get(_WRITTEN, -1))
        at += 2 + length


def _entries(table: bytes, pointer: int) -> dict[int, int]:
    """Value or place of every entry of the table that a pointer leads to, by its tag."""
    (first,) = struct.unpack(_order(table) + "I", table[pointer : pointer + 4])
    return _entries_at(table, first)


def _entries_at(table: bytes, first: int) -> dict[int, int]:
    order = _order(table)
    (count,) = struct.unpack(order + "H", table[first : first + 2])
    found = {}
    for place in range(count):
        entry = first + 2 + 12 * place
        tag, _, _, value = struct.unpack(order + "HHII", table[entry : entry + 12])
        found[tag] = value
    return found


def _order(table: bytes) -> str:
    return "<" if table[:2] == b"II" else ">"


def _day(table: bytes, place: int) -> str:
    """The day of a time such as 2026:03:01 10:20:30 that stands at a place, if it is one."""
    if place < 0:
        return ""
    told = table[place : place + 10].decode("ascii", "replace").replace(":", "-")
    try:
        return date.fromisoformat(told).isoformat() if told > _CLOCK_NEVER_SET else ""
    except ValueError:
        return ""


def _jpeg(data: bytes) -> Iterator[bytes]:
    """Segments up to the picture itself; of the camera's notes only the orientation."""
    yield data[:2]
    at = 2
    while data[at + 1] != _SCAN:
        marker = data[at + 1]
        (length,) = struct.unpack(">H", data[at + 2 : at + 4])
        segment = data[at : at + 2 + length]
        if marker == _EXIF:
            turned = _orientation(segment[4:])
            if turned not in {0, 1}:
                yield _turned_segment(turned)
        elif marker not in _JPEG_TELLS:
            yield segment
        at += 2 + length
    yield data[at:]


def _orientation(notes: bytes) -> int:
    """Which way up a camera says that a picture is, 0 where it does not say."""
    if notes[:6] != b"Exif\0\0":
        return 0
    table = notes[6:]
    order = "<" if table[:2] == b"II" else ">"
    (first,) = struct.unpack(order + "I", table[4:8])
    (count,) = struct.unpack(order + "H", table[first : first + 2])
    for place in range(count):
        entry = first + 2 + 12 * place
        (tag,) = struct.unpack(order + "H", table[entry : entry + 2])
        if tag == _ORIENTATION:
            return int(struct.unpack(order + "H", table[entry + 8 : entry + 10])[0])
    return 0


def _turned_segment(turned: int) -> bytes:
    entry = struct.pack(">HHIHH", _ORIENTATION, 3, 1, turned, 0)
    body = b"Exif\0\0MM\0*" + struct.pack(">IH", 8, 1) + entry + struct.pack(">I", 0)
    return struct.pack(">BBH", 0xFF, _EXIF, len(body) + 2) + body


def _png(data: bytes) -> Iterator[bytes]:
    at = len(_PNG)
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        if data[at + 4 : at + 8] not in _PNG_TELLS:
            yield data[at : at + 12 + length]
        at += 12 + length


def _webp(data: bytes) -> bytes:
    kept = []
    at = 12
    while at < len(data):
        (length,) = struct.unpack("<I", data[at + 4 : at + 8])
        whole = data[at : at + 8 + length + length % 2]
        if data[at : at + 4] == b"VP8X":
            # Two bits say that notes follow; they no longer do.
            whole = whole[:8] + bytes([whole[8] & ~0b1100]) + whole[9:]
        if data[at : at + 4] not in {b"EXIF", b"XMP "}:
            kept.append(whole)
        at += len(whole)
    body = b"WEBP" + b"".join(kept)
    return b"RIFF" + struct.pack("<I", len(body)) + body
