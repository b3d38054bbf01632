"""How a command ends: its exit codes, and how it says a thing."""

from __future__ import annotations

import sys
from typing import Any, Final

ANSWERED: Final = 0
BROKEN: Final = 1
REFUSED: Final = 2
NO_FIT: Final = 3


def say(what: Any) -> None:
    """Write text, or plain data as JSON, to the standard output."""
    if not isinstance(what, str):
        import json

        what = json.dumps(what, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    sys.stdout.write(what)
