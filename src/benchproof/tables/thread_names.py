"""Names of threads as the trade writes them, brought to one spelling."""

from __future__ import annotations

import re
from collections.abc import Sequence

_LONGEST = 40
_DIAMETER = r"(?P<diameter>\d+/\d+|\d*\.\d+)"
_PATTERNS = tuple(
    re.compile(pattern)
    for pattern in (
        r"m ?(?P<metric>\d+(?:\.\d+)?)(?: ?[x*-] ?(?P<step>\d*\.?\d+))?(?: ?mm)?"
        r"(?: ?(?:coarse|fine))?",
        r"(?:no\.? ?)?(?P<number>\d+) ?b\.?a\.?|b\.?a\.? ?(?P<after>\d+)",
        rf"g ?{_DIAMETER}",
        rf"{_DIAMETER} ?(?P<series>bspp?|bsw|bsf)",
        rf"{_DIAMETER} ?[x*-] ?(?P<tpi>\d+)(?: ?tpi)?"
        r"(?: ?(?P<of>me|mes|model|bsw|bsf|whit|whitworth))?",
    )
)
_SERIES = {"mes": "me", "model": "me", "whit": "bsw", "whitworth": "bsw", "bspp": "bsp"}
_EIGHTHS = {".125": "1/8", ".15625": "5/32", ".156": "5/32", ".1875": "3/16", ".21875": "7/32"}
_LARGER = {".25": "1/4", ".28125": "9/32", ".3125": "5/16", ".375": "3/8", ".4375": "7/16"}


class UnknownThread(ValueError):
    """A name no thread here goes by; ``given`` is the name, ``suggestions`` the closest."""

    def __init__(self, given: str, suggestions: tuple[str, ...]) -> None:
        super().__init__(given, suggestions)
        self.given = given
        self.suggestions = suggestions

    def __str__(self) -> str:
        near = ", ".join(self.suggestions)
        return f"no thread is called {self.given!r}; " + (
            f"did you mean {near}?" if near else "write M5, M6x0.75, 2 BA, 5/16x40 or 1/8 BSP"
        )


def plain_thread_name(name: str) -> str:
    """One spelling of a thread's name; what cannot be read comes back as it is, in small letters.

    ``M6 × 0.75`` and ``m6x0,75`` are one, as are ``2BA`` and ``No. 2 B.A.``, and ``5/16" x 40``
    and ``5/16-40 tpi``.
    """
    tidy = " ".join(name[:_LONGEST].casefold().replace("×", "x").replace(",", ".").split())
    tidy = tidy.replace('"', "").replace(" in ", " ").replace("0.", ".").replace(" x ", "x")
    for pattern in _PATTERNS:
        found = pattern.fullmatch(tidy)
        if found is not None:
            return _spelt(found.groupdict())
    return tidy


def closest(plain: str, keys: Sequence[str]) -> tuple[str, ...]:
    """Names nearest to one that is not known, at most three."""
    from difflib import get_close_matches

    by_plain = {plain_thread_name(key): key for key in keys}
    near = get_close_matches(plain, list(by_plain), n=3, cutoff=0.5)
    return tuple(by_plain[each] for each in near)


def _spelt(part: dict[str, str | None]) -> str:
    if metric := part.get("metric"):
        step = part.get("step")
        return f"m{float(metric):g}" + (f"x{float(step):g}" if step else "")
    if number := part.get("number") or part.get("after"):
        return f"{int(number)} ba"
    given = part.get("diameter") or ""
    diameter = {**_EIGHTHS, **_LARGER, ".5": "1/2"}.get(given.rstrip("0"), given)
    if tpi := part.get("tpi"):
        series = part.get("of")
        return f"{diameter}x{tpi}" + (f" {_SERIES.get(series, series)}" if series else "")
    series = part.get("series") or "bsp"
    return f"{diameter} {_SERIES.get(series, series)}"
