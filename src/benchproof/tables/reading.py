"""Reading of the data files that are shipped beside the loaders."""

from __future__ import annotations

import csv
from importlib.resources import files


def rows(file_name: str) -> list[dict[str, str]]:
    """Rows of a comma-separated file of this package, one mapping from header to cell each."""
    text = files("benchproof.tables").joinpath(file_name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
