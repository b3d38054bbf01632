"""One example of each duty and its bench tests: a spec, and a record of each test on it.

A module here is named after its duty and holds ``SPEC`` and ``RECORDS`` (bench test to record).
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from benchproof.duties import DUTIES
from benchproof.specs import Spec

_MODULES: dict[str, Any] = {
    key: import_module(f"examples.{key.replace('-', '_')}") for key in DUTIES
}
SPECS: dict[str, Spec] = {key: module.SPEC for key, module in _MODULES.items()}
RECORDS: dict[str, dict[str, Spec]] = {key: module.RECORDS for key, module in _MODULES.items()}
