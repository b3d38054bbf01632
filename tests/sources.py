"""Mark a check with the outside source its numbers rest on."""

from collections.abc import Callable
from typing import Any, Literal, TypeVar

import pytest

Check = TypeVar("Check", bound=Callable[..., Any])
Kind = Literal["published", "common practice", "from memory", "own calculation"]


def source(text: str, *, kind: Kind = "published") -> Callable[[Check], Check]:
    """State the source (author, title, year, clause or page) of the numbers in a test.

    ``published`` was read in the named source or a transcription of it; ``from memory`` names
    the source but nobody has looked the number up; ``own calculation`` is a second derivation.
    """
    return pytest.mark.published(source=text, kind=kind)
