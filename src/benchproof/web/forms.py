"""A form for any spec: its fields as boxes, what was typed, and beside each what is wrong with it.

Made from the layout of the spec alone, so that a new duty has its form at once. What is typed is
read back by ``Spec.from_text``; here each box is also read by itself, so that what was understood
of one is shown although another is refused.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

from pydantic import BaseModel

from benchproof.quantities import QuantityError
from benchproof.specs import Choice, FieldError, Flag, Problem, Quantity, Words
from benchproof.specs.layout import Field, fields_of
from benchproof.specs.understood import show_value
from benchproof.specs.values import read_value
from benchproof.web.typed import DEEPEST, row_numbers

Form: TypeAlias = Literal["quantity", "choice", "words", "yes or no"]
BLANK = "NUMBER"  # stands in a name for the number of a row that is still to be added
WITHIN = "INNER"  # the same for a row of such a row
LONG = 300  # letters: a text that may be longer has room for several lines


@dataclass(frozen=True)
class Box:
    """One thing to fill in. ``usual`` is what is taken when it is left empty."""

    name: str
    label: str
    help: str
    form: Form
    unit: str
    bounds: str
    required: bool
    usual: str
    from_engine: bool
    options: tuple[str, ...]
    long: bool
    typed: str
    understood: str
    problems: tuple[Problem, ...]
    kind: str = ""  # of a quantity, such as length

    @property
    def id(self) -> str:
        """Its id in the page."""
        return "f-" + self.name.replace(".", "-")

    @property
    def hint(self) -> str:
        """What helps to fill it in: what it is, what is allowed, what is taken if it is empty."""
        origin = ", from the engine" if self.from_engine else ""
        listed = self.form in {"choice", "yes or no"}  # there the list itself says it
        usual = f"left empty: {self.usual}{origin}" if self.usual and not listed else ""
        return "; ".join(filter(None, [self.help, self.bounds, usual]))


@dataclass
class Group:
    """Boxes that belong together, groups and lists within."""

    name: str
    label: str
    items: list[Box | Group | Rows] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def boxes(self) -> list[Box]:
        """Every box in it, however deep."""
        found: list[Box] = []
        for each in self.items:
            if isinstance(each, Box):
                found.append(each)
            else:
                for group in each.rows if isinstance(each, Rows) else (each,):
                    found += group.boxes
        return found

    @property
    def first(self) -> list[Box | Group | Rows]:
        """What has to be stated, or was stated, or comes from the engine."""
        return [each for each in self.items if _is_needed(each)]

    @property
    def rest(self) -> list[Box | Group | Rows]:
        """What is usually left as it is."""
        return [each for each in self.items if not _is_needed(each)]


@dataclass
class Rows:
    """A list of groups; ``blank`` is one that can be added, with ``mark`` for its number."""

    name: str
    label: str
    rows: list[Group]
    blank: Group
    mark: str
    problems: list[Problem] = field(default_factory=list)


def form_of(
    spec_type: type[BaseModel],
    typed: Mapping[str, str] | None = None,
    *,
    problems: Sequence[Problem] = (),
    inherited: Mapping[str, object] | None = None,
) -> Group:
    """The form of a spec; problems of no field there is stand at its top."""
    form = _Making(dict(typed or {}), problems, inherited or {}).group(spec_type, "", "", None, 0)
    placed = {id(problem) for each in form.boxes for problem in each.problems}
    placed |= {id(problem) for problem in _of_groups(form)}
    form.problems += [problem for problem in problems if id(problem) not in placed]
    return form


class _Making:
    def __init__(
        self, typed: Mapping[str, str], problems: Sequence[Problem], inherited: Mapping[str, object]
    ) -> None:
        self.typed = typed
        self.inherited = inherited
        self.problems: dict[str, list[Problem]] = {}
        for problem in problems:
            self.problems.setdefault(problem.field, []).append(problem)

    def group(
        self,
        spec_type: type[BaseModel],
        path: str,
        label: str,
        defaults: BaseModel | None,
        depth: int,
    ) -> Group:
        found = Group(path.removesuffix("."), label)
        if found.name:
            found.problems = self.problems.get(found.name, [])
        for each in fields_of(spec_type):
            here = path + each.name
            if each.marker is not None:
                found.items.append(self._box(each, here, defaults))
            elif depth >= DEEPEST:
                continue
            elif each.group is not None:
                usual = _default(each, defaults)
                found.items.append(self.group(each.group, f"{here}.", each.label, usual, depth + 1))
            else:
                found.items.append(self._rows(each, here, depth))
        return found

    def _rows(self, each: Field, here: str, depth: int) -> Rows:
        assert each.rows is not None
        count = len(row_numbers(self.typed, f"{here}."))
        rows = [
            self.group(each.rows, f"{here}.{n}.", f"{each.label} {n + 1}", None, depth + 1)
            for n in range(count)
        ]
        mark = WITHIN if BLANK in here else BLANK
        blank = _Making({}, (), {}).group(
            each.rows, f"{here}.{mark}.", f"{each.label} {mark}", None, depth + 1
        )
        return Rows(here, each.label, rows, blank, mark, self.problems.get(here, []))

    def _box(self, each: Field, here: str, defaults: BaseModel | None) -> Box:
        marker = each.marker
        assert marker is not None
        known = defaults is not None or not each.required
        usual = ""
        if known:
            value = _default(each, defaults)
            usual = "" if value in {None, ""} else show_value(value, marker)
        engine = self.inherited.get(marker.inherits or "")
        typed = self.typed.get(here, "")
        quantity = marker if isinstance(marker, Quantity) else None
        return Box(
            name=here,
            label=each.label,
            help=marker.help,
            form=_form(marker),
            unit=quantity.kind.named(quantity.unit).symbol if quantity else "",
            bounds=quantity.bounds if quantity else "",
            required=not known and not engine,
            usual=str(engine) if engine else usual,
            from_engine=bool(engine),
            options=marker.words if isinstance(marker, Choice) else (),
            long=isinstance(marker, Words) and marker.max_length > LONG,
            typed=typed,
            understood=_understood(typed, each),
            problems=tuple(self.problems.get(here, ())),
            kind=quantity.kind.name if quantity else "",
        )


def _form(marker: object) -> Form:
    if isinstance(marker, Quantity):
        return "quantity"
    if isinstance(marker, Choice):
        return "choice"
    return "yes or no" if isinstance(marker, Flag) else "words"


def _default(each: Field, defaults: BaseModel | None) -> Any:
    if defaults is not None:
        return getattr(defaults, each.name)
    return None if each.required else each.default


def _understood(typed: str, each: Field) -> str:
    """What was understood of one quantity, in both measuring systems; nothing of other boxes."""
    if not typed.strip() or not isinstance(each.marker, Quantity):
        return ""
    try:
        shown = show_value(read_value(typed, each.marker, each), each.marker)
    except (QuantityError, FieldError):
        return ""
    return "" if shown == typed.strip() else shown


def _is_needed(item: Box | Group | Rows) -> bool:
    if isinstance(item, Box):
        return item.required or item.from_engine or bool(item.typed or item.problems)
    if isinstance(item, Rows):
        return True
    return bool(item.problems) or any(_is_needed(each) for each in item.items)


def _of_groups(item: Group | Rows) -> list[Problem]:
    found = list(item.problems)
    for each in item.rows if isinstance(item, Rows) else item.items:
        if not isinstance(each, Box):
            found += _of_groups(each)
    return found


def renumbered(spec_type: type[BaseModel], typed: Mapping[str, str]) -> dict[str, str]:
    """What was typed with the rows of every list numbered from nought without gaps."""
    from benchproof.web.typed import flat, nested

    return flat(nested(spec_type, typed))
