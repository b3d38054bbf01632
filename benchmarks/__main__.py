"""Measure everything and print one table: ``python -m benchmarks`` at the root of the project."""

from __future__ import annotations

import os
import platform
from collections.abc import Sequence

import numpy as np

from benchmarks import books, learning, papers, starting, sweeping

HEAD = ("what", "measured", "against", "ratio", "aim", "")


def main() -> None:
    """Every figure in one run, so that they share one machine and one hour."""
    print(
        f"Python {platform.python_version()}, numpy {np.__version__}, "
        f"{os.cpu_count()} cores, {platform.machine()}, load {os.getloadavg()[0]:.1f} at the "
        "start; medians of several runs\n"
    )
    rows = [
        figure.row()
        for part in (sweeping, learning, starting, books, papers)
        for figure in part.figures()
    ]
    print(table([HEAD, *rows]))
    print(f"\nload {os.getloadavg()[0]:.1f} at the end; above {os.cpu_count()}, others took turns")


def table(rows: Sequence[Sequence[str]]) -> str:
    """Rows under a head, columns as wide as they need."""
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]
    return "\n".join([lines[0], "  ".join("-" * width for width in widths).rstrip(), *lines[1:]])


if __name__ == "__main__":
    main()
