"""Photographs keep their picture and which way up they are, and lose what a camera wrote."""

from __future__ import annotations

import struct
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.papers.photographs import bare, day_of, ending_of

PLACE = b"51 deg 30 min N"


def segment(marker: int, body: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body


def exif(turned: int, order: str = "<") -> bytes:
    mark = b"II*\0" if order == "<" else b"MM\0*"
    entry = struct.pack(order + "HHIHH", 0x0112, 3, 1, turned, 0)
    other = struct.pack(order + "HHII", 0x8825, 4, 1, 50)
    table = struct.pack(order + "H", 2) + other + entry + struct.pack(order + "I", 0)
    return b"Exif\0\0" + mark + struct.pack(order + "I", 8) + table + PLACE


def jpeg(*segments: bytes) -> bytes:
    scan = b"\xff\xda\x00\x04\x01\x02picture" + PLACE[:2] + b"\xff\xd9"
    return b"\xff\xd8" + b"".join(segments) + scan


def chunk(kind: bytes, body: bytes) -> bytes:
    check = struct.pack(">I", zlib.crc32(kind + body))
    return struct.pack(">I", len(body)) + kind + body + check


PNG = b"\x89PNG\r\n\x1a\n"
TABLES = segment(0xDB, b"tables")
JFIF = segment(0xE0, b"JFIF\0")


@pytest.mark.parametrize("order", ["<", ">"])
def test_a_photograph_loses_its_place_and_keeps_which_way_up_it_is(order: str) -> None:
    found = bare(jpeg(JFIF, segment(0xE1, exif(6, order)), segment(0xED, PLACE), TABLES))
    assert PLACE not in found
    assert found.startswith(b"\xff\xd8" + JFIF)
    assert TABLES in found
    assert found.endswith(b"\xff\xd9")
    again = bare(found)
    assert again == found  # the way up was read back as 6
    upright = bare(jpeg(JFIF, segment(0xE1, exif(1, order)), TABLES))
    assert b"Exif" not in upright


def test_notes_that_are_not_of_a_camera_go_too() -> None:
    found = bare(
        jpeg(segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + PLACE), segment(0xFE, PLACE))
    )
    assert PLACE not in found


def test_colour_stays() -> None:
    profile = segment(0xE2, b"ICC_PROFILE\0colours")
    adobe = segment(0xEE, b"Adobe\0")
    found = bare(jpeg(profile, adobe))
    assert profile in found
    assert adobe in found


def test_a_drawn_picture_loses_its_notes() -> None:
    head, body, end = (
        chunk(b"IHDR", b"13 bytes here"),
        chunk(b"IDAT", b"picture"),
        chunk(b"IEND", b""),
    )
    notes = chunk(b"tEXt", PLACE) + chunk(b"eXIf", PLACE) + chunk(b"tIME", b"1234567")
    assert bare(PNG + head + notes + body + end) == PNG + head + body + end


def test_a_web_picture_loses_its_notes_and_no_longer_says_that_it_has_them() -> None:
    def part(kind: bytes, body: bytes) -> bytes:
        return kind + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2)

    picture = part(b"VP8 ", b"picture")
    parts = part(b"VP8X", bytes([0b1110]) + b"\0" * 9) + picture + part(b"EXIF", PLACE)
    found = bare(b"RIFF" + struct.pack("<I", len(parts) + 4) + b"WEBP" + parts)
    assert PLACE not in found
    assert picture in found
    assert struct.unpack("<I", found[4:8])[0] == len(found) - 8
    assert found[20] == 0b0010


@given(
    st.binary(max_size=200),
    st.sampled_from([b"\xff\xd8\xff", PNG, b"RIFF0000WEBP", b"GIF89a", b""]),
)
def test_rubbish_stays_as_it_is_or_shrinks_and_never_breaks(rubbish: bytes, start: bytes) -> None:
    data = start + rubbish
    assert len(bare(data)) <= len(data) + 40


@pytest.mark.parametrize(
    ("start", "ending"),
    [
        (b"\xff\xd8\xff\xe0", "jpg"),
        (PNG, "png"),
        (b"GIF89a", "gif"),
        (b"RIFF0000WEBP", "webp"),
        (b"%PDF-1.7", ""),
        (b"", ""),
    ],
)
def test_a_picture_is_known_by_its_beginning(start: bytes, ending: str) -> None:
    assert ending_of(start) == ending


def taken(day: bytes, written: bytes = b"", order: str = "<") -> bytes:
    """A photograph whose camera tells when it was taken and when its file was written."""
    mark = b"II*\0" if order == "<" else b"MM\0*"
    own, day_at, written_at = 8 + 2 + 24 + 4, 80, 100
    entries = struct.pack(order + "HHII", 0x8769, 4, 1, own)
    entries += struct.pack(order + "HHII", 0x0132, 2, 20, written_at)
    table = mark + struct.pack(order + "I", 8) + struct.pack(order + "H", 2) + entries
    table = (table + struct.pack(order + "I", 0)).ljust(own, b"\0")
    table += struct.pack(order + "H", 1) + struct.pack(order + "HHII", 0x9003, 2, 20, day_at)
    table = table.ljust(day_at, b"\0") + day.ljust(20, b"\0") + written.ljust(20, b"\0")
    return jpeg(JFIF, segment(0xE1, b"Exif\0\0" + table))


@pytest.mark.parametrize("order", ["<", ">"])
def test_a_photograph_is_of_the_day_its_camera_says(order: str) -> None:
    assert day_of(taken(b"2026:03:01 10:20:30", b"2026:04:05 00:00:00", order)) == "2026-03-01"
    assert day_of(taken(b"", b"2026:04:05 00:00:00", order)) == "2026-04-05"


@pytest.mark.parametrize("day", [b"", b"0000:00:00 00:00:00", b"1980:01:01 00:00:00", b"rubbish"])
def test_a_clock_that_was_never_set_tells_no_day(day: bytes) -> None:
    assert day_of(taken(day)) == ""


@given(st.binary(max_size=300))
def test_no_file_is_too_broken_to_be_asked_its_day(data: bytes) -> None:
    assert len(day_of(b"\xff\xd8\xff\xe1" + data)) in {0, 10}
    assert day_of(PNG + data) == ""
