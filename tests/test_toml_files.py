"""Spec files: read as TOML, refused with what is wrong and where."""

import os
from pathlib import Path

import pytest

from benchproof.specs import SpecError, read_toml
from benchproof.specs.toml_files import LARGEST


def test_a_file_is_read(tmp_path: Path) -> None:
    file = tmp_path / "piston.toml"
    file.write_text('bore = "30 mm"\nstroke = 40\n[grooves]\ncount = 3\n', encoding="utf-8")
    assert read_toml(file) == {"bore": "30 mm", "stroke": 40, "grooves": {"count": 3}}
    assert read_toml(str(file)) == read_toml(file)


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    file = tmp_path / "piston.toml"
    file.write_bytes(b'\xef\xbb\xbfbore = "30 \xc2\xb5m"\r\n')
    assert read_toml(file) == {"bore": "30 µm"}


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"a = 1\nbore = 30 mm\n", r"is not TOML: .*line 2"),
        (b"a = 1\nbore = '30 \xb5m'\n", r"is not UTF-8 text \(line 2\)"),
        (b"a = " + b"[" * 100_000, "nested too deep|is not TOML"),
        (b"a = " + b"9" * 10_000, "is not TOML"),
        (b"#" * (LARGEST + 1), "is larger than 1000000 bytes"),
        (b"a = 2000-13-45", "is not TOML"),
    ],
)
def test_a_file_that_cannot_be_used_is_refused(
    tmp_path: Path, content: bytes, message: str
) -> None:
    file = tmp_path / "piston.toml"
    file.write_bytes(content)
    with pytest.raises(SpecError, match=message) as refusal:
        read_toml(file)
    assert refusal.value.problems[0].field == "piston.toml"


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SpecError, match="does not exist"):
        read_toml(tmp_path / "nowhere.toml")
    with pytest.raises(SpecError, match="is a folder"):
        read_toml(tmp_path)
    with pytest.raises(SpecError, match="its name cannot be used"):
        read_toml("piston\x00.toml")
    with pytest.raises(SpecError, match="cannot be read"):
        read_toml("x" * 5000)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pipe_is_refused_without_waiting(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(SpecError, match="is not a plain file"):
        read_toml(tmp_path / "pipe.toml")
