"""Duties: what a part must do. Each is one module, loaded when asked for."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from benchproof.duties.contract import Duty

DUTIES: dict[str, str] = {
    "piston-fit": "benchproof.duties.piston_fit:PistonFit",
    "pipe-union": "benchproof.duties.pipe_union:PipeUnion",
    "taper-cock": "benchproof.duties.taper_cock:TaperCock",
    "running-fit": "benchproof.duties.running_fit:RunningFit",
    "tyre-fit": "benchproof.duties.tyre_fit:TyreFit",
    "injector": "benchproof.duties.injector:InjectorDuty",
}


def load_duty(key: str) -> Duty[Any]:
    """Load a duty by its key; raises ``KeyError`` with the known keys."""
    duty: Duty[Any] = load(key, DUTIES, "duty")
    return duty


def load(key: str, known: dict[str, str], what: str) -> Any:
    """Import the class behind a key and make one; raises ``KeyError`` with the known keys."""
    if key not in known:
        raise KeyError(f"no {what} is called {key!r}; there are: {', '.join(sorted(known))}")
    module, name = known[key].split(":")
    return getattr(import_module(module), name)()
