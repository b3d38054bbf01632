"""Papers set in type: a template, plain data and pictures in, a PDF out.

Only the fonts that are shipped are used, nothing is fetched, no clock is read: what has not
changed comes out byte for byte the same. Every PDF is tagged, names its language and title, and
keeps its text as text (PDF/UA-1, which the typesetter checks).
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

_HERE: Final = Path(__file__).parent
FONTS: Final = _HERE / "fonts"
TEMPLATES: Final = _HERE / "templates"
FONT_FAMILY: Final = "DejaVu Sans"
"""Name by which the typesetter knows the shipped fonts, all of them condensed."""
_DATA: Final = "data.json"
_NUMBER_AND_UNIT: Final = re.compile(
    r"(?<=\d) (?=(?:mm|µm|cm|in|thou|°C|°F|K|bar|psi|g|kg|s|min|h|mL|N·m|N|lbf·in|rpm)\b)"
)


class CannotSet(RuntimeError):
    """A paper that cannot be set in type as it stands: a template or a picture is at fault."""


def typeset(
    template: str, data: Mapping[str, Any], pictures: Mapping[str, bytes] | None = None
) -> bytes:
    """Set a paper as PDF: ``template`` is a name without ending, ``data`` plain data for JSON.

    ``pictures`` are files of the paper, by the names that the data calls them. Raises
    :class:`CannotSet` for a picture that is none, and for whatever the typesetter warns of.
    """
    found = _compiled(template, data, pictures or {}, {"format": "pdf", "pdf_standards": "ua-1"})
    assert isinstance(found, bytes)
    return found


def pictured(
    template: str,
    data: Mapping[str, Any],
    pictures: Mapping[str, bytes] | None = None,
    *,
    dots_per_inch: float = 110.0,
) -> list[bytes]:
    """Pages of a paper as PNG pictures, to look at."""
    found = _compiled(template, data, pictures or {}, {"format": "png", "ppi": dots_per_inch})
    return [found] if isinstance(found, bytes) else list(found)


def kept_together(text: str) -> str:
    r"""The text with every number and its unit on one line.

    Left to the typesetter this takes longer than all the rest of a long paper.

    >>> kept_together("bore 30 mm, 5 in it").encode("ascii", "backslashreplace")
    b'bore 30\\xa0mm, 5\\xa0in it'
    """
    return _NUMBER_AND_UNIT.sub("\u00a0", text)


def _compiled(
    template: str,
    data: Mapping[str, Any],
    pictures: Mapping[str, bytes],
    how: Mapping[str, Any],
) -> Any:
    import typst

    # The typesetter takes pictures such as photographs from a folder only.
    with TemporaryDirectory(prefix="benchproof-") as folder:
        for path in TEMPLATES.glob("*.typ"):
            Path(folder, path.name).write_bytes(path.read_bytes())
        for name, content in pictures.items():
            Path(folder, name).write_bytes(content)
        told = kept_together(json.dumps(data, ensure_ascii=False, sort_keys=True))
        Path(folder, _DATA).write_text(told, encoding="utf-8")
        try:
            found, warnings = typst.compile_with_warnings(
                str(Path(folder, f"{template}.typ")),
                root=folder,
                font_paths=[str(FONTS)],
                ignore_system_fonts=True,
                timestamp=0,
                **how,
            )
        except typst.TypstError as wrong:
            raise CannotSet(f"{template}: {wrong.message}") from wrong
    if warnings:
        told = "; ".join(str(warning) for warning in warnings)
        raise CannotSet(f"{template}: {told}")
    return found
