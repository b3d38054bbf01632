"""From the command typed to its last line, in a Python started afresh."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from benchmarks.demo_job import FOLDER
from benchmarks.timing import Figure, took

COMMAND = str(Path(sys.executable).with_name("benchproof"))


def figures() -> Sequence[Figure]:
    """Start to end of the shortest command and of a whole answer."""
    size = ("size", "piston-fit", FOLDER / "piston.toml", "--lathe", FOLDER / "lathe.toml")
    bare = took(lambda: _run(sys.executable, "-c", "pass"), 10)
    return [
        Figure(
            "benchproof --help",
            took(lambda: _run(COMMAND, "--help"), 10),
            "Python alone",
            bare,
            "seconds",
            0.3,
        ),
        Figure("benchproof size, to its answer", took(lambda: _run(COMMAND, *size), 10)),
    ]


def _run(*command: str | Path) -> None:
    subprocess.run(command, check=False, stdout=subprocess.DEVNULL)
