"""Plain words for a book: what was entered, what holds an engine back, what came before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from benchproof.book.evidence import Counted
from benchproof.book.history import SHORT, Line
from benchproof.book.records import Record
from benchproof.book.review import Verdict, holds_back
from benchproof.book.state import Tested
from benchproof.columns import page, sentence, wrapped
from benchproof.figures import in_hundreds
from benchproof.quantities import LENGTH, System, show

_CUTS: Final = {"first": "as it came off the tool", "again": "cut again", "fitted": "fitted"}
_DAY: Final = "when"


def tell_entered(record: Record, about: str = "") -> str:
    """Tell what was entered, and the id by which it can be corrected."""
    what = f" of {about}" if about and record.kind != "duty" else ""
    line = record_line(record, {})
    return page(wrapped(f"Entered {record.kind}{what}: {line} [{record.id[:SHORT]}]", "", "  "))


def tell_measured(record: Record, piece: str) -> str:
    """Tell a size as entered, and whether it tells anything of the lathe."""
    body = record.body
    lines = tell_entered(record, piece)
    change = body.get("for_temperature", 0.0)
    if change:
        at = show(body["value"], LENGTH, unit="mm", digits=4)
        lines += page(wrapped(f"At 20 °C that is {at}, by the temperatures stated."))
    if body["process"] is None:
        why = "no duty speaks of it yet; once one does, it will count"
    elif body["cut"] != "first":
        why = "only a size as it came off the tool does"
    elif body["aim"] is None:
        why = "no aim is stated"
    else:
        return lines
    return lines + page(wrapped(f"It tells nothing of the lathe: {why}."))


def tell_impossible(words: str) -> str:
    """Tell that a bench test is in the book, and that nothing explains its readings."""
    return page(wrapped(f"The bench test is in the book, but: {sentence(words)}", "", "  "))


def tell_outdated(test: Tested) -> str:
    """Tell that a bench test speaks of pieces as they were before."""
    words = (
        f"The {test.test} of {test.order[0]} speaks of the pieces as they were before the last "
        "size was taken: it is not counted here. Test again."
    )
    return page(["", *wrapped(words)])


def tell_struck(gone: Record, stands: Record | None) -> str:
    """Tell what was struck out, and what stands again in its place."""
    lines = wrapped(f"Struck out {gone.kind}: {record_line(gone, {})} [{gone.id[:SHORT]}]", "")
    if stands is not None:
        again = f"It was a correction, so this stands again: {record_line(stands, {})} "
        lines += wrapped(f"{again}[{stands.id[:SHORT]}]")
    return page(lines)


def tell_begun(path: Path, records: int, *, demo: bool) -> str:
    """Tell that a book is there, and what comes next."""
    lines = [f"Begun: {path.name}" + (f", with {records} invented records" if demo else "")]
    if demo:
        lines.append("Next: benchproof review")
    else:
        lines.append('Next: benchproof engine NAME --gauge "5 in" --boiler-pressure "5 bar"')
    return page(lines)


def tell_written(words: str, path: Path) -> str:
    """Tell where something was written."""
    return f"{words} {path}\n"


def tell_verified(path: Path, records: int, contents: int, head: str) -> str:
    """Tell that a book is as it was written."""
    files = f"{contents} file" + ("" if contents == 1 else "s")
    return page(
        [
            f"{path.name} is as it was written: {records} records, {files} kept in it.",
            f"  hash of everything: {head[:16]}",
        ]
    )


def tell_review(verdicts: Sequence[Verdict], engine: str | None, system: System = "metric") -> str:
    """Tell what holds an engine back, then every duty, the worst first."""
    if not verdicts:
        return page(wrapped("No duty is given yet. Try: benchproof give --help", "", "  "))
    name = engine or "the work"
    worst = holds_back(verdicts)
    if worst is None:
        lines = wrapped(f"Nothing holds {name} back: every duty has 90 in 100 or more.", "")
    else:
        lines = wrapped(
            f"What holds {name} back most: {worst.name} ({worst.state}). "
            f"{sentence(worst.do_next[system])}",
            "",
        )
    lines += ["", f"{'odds in 100':>79}", f"{_HEAD}"]
    for verdict in verdicts:
        odds = in_hundreds([verdict.right, verdict.correctable, verdict.lost])
        right, correctable, lost = odds
        lines += [
            f"{verdict.name[:34]:<34}  {verdict.state:<11}{right:>8}{correctable:>14}{lost:>10}",
            *wrapped(sentence(verdict.do_next[system]), "    ", "    "),
        ]
    lines += ["", 'All about one: benchproof plan "' + verdicts[0].name + '"']
    return page(lines)


_HEAD: Final = f"{'duty':<34}  {'state':<11}{'right':>8}{'correctable':>14}{'lost':>10}"


def tell_history(lines: Sequence[Line], names: Mapping[str, str]) -> str:
    """Tell records in the order of entry: id, when, who; what it says; what became of it."""
    told: list[str] = []
    for line in lines:
        record = line.record
        entered = datetime.fromisoformat(record.at).astimezone()
        who = f"  {record.who}" if record.who else ""
        told.append(f"{record.id[:SHORT]}  {entered:%Y-%m-%d %H:%M}{who}")
        about = f" ({line.about})" if line.about else ""
        told += wrapped(f"{record.kind}{about}: {record_line(record, names)}", "  ", "    ")
        if line.corrected_by is not None:
            told.append(f"    corrected by {line.corrected_by[:SHORT]}")
        if line.struck_by is not None:
            told.append(f"    struck out by {line.struck_by[:SHORT]}")
    return page(told)


def tell_counted(counted: Mapping[str, Counted]) -> str:
    """Tell how many parts stand behind each process, and how many cannot."""
    lines = ["", "WHAT IS COUNTED, AND WHAT CANNOT BE"]
    for process, count in counted.items():
        if any((count.witnesses, count.cut_again, count.fitted, count.scrapped, count.in_lots)):
            lots = f"; {count.in_lots} read in lots, of which the first of each setting counts"
            lines += wrapped(
                f"{process}: {_parts(count.witnesses)} counted, each once, by its first size; "
                f"{count.cut_again} cut again, {count.fitted} fitted, {count.scrapped} scrapped"
                + (lots if count.in_lots else ""),
                after="    ",
            )
    if len(lines) == 2:
        lines += wrapped("nothing yet: benchproof past, or benchproof measure with an aim")
    return page(lines)


def _parts(count: int) -> str:
    return f"{count} part" + ("" if count == 1 else "s")


def record_line(record: Record, names: Mapping[str, str]) -> str:
    """What a record says, in a line; ``names`` are what ids are called."""
    body = record.body
    if record.kind == "size":
        return _size(body)
    if record.kind == "duty":
        roles = [f"{role} is {names.get(key, key[:SHORT])}" for role, key in body["roles"].items()]
        return f"{body['name']}, {body['duty']}" + (f"; {', '.join(roles)}" if names else "")
    if record.kind == "bench test":
        count = len(body["stated"].get("reading", ()))
        readings = f"{count} reading" + ("" if count == 1 else "s")
        return ", ".join(filter(None, [body["test"], readings, body["when"]]))
    if record.kind == "lot reading":
        return _lot_reading(body)
    if record.kind == "lot":
        return _lot(body, names)
    if record.kind == "struck out":
        return f"{str(record.supersedes)[:SHORT]}, because: {body['why']}"
    if record.kind == "attachment":
        return ", ".join(filter(None, [body["name"], f"{body['bytes']} bytes", body["note"]]))
    stated = body.get("stated", body)
    first = [text for name, text in stated.items() if name in _SPEAKS_FOR_ITSELF]
    rest = [
        f"{name.replace('_', ' ')} {text}"
        for name, text in stated.items()
        if name not in _SPEAKS_FOR_ITSELF
    ]
    return ", ".join(text.rstrip(".") for text in [*first, *rest])


_SPEAKS_FOR_ITSELF: Final = ("name", "text", "what", "why", "process", _DAY)


def _lot(body: Mapping[str, Any], names: Mapping[str, str]) -> str:
    stated = dict(body["stated"])
    machine = stated.pop("machine", "")
    on = f"on {names.get(machine, machine[:SHORT])}" if machine else ""
    rest = [
        f"{name.replace('_', ' ')} {text}"
        for name, text in stated.items()
        if name not in {"name", "feature", "wanted"}
    ]
    made = f"{stated['wanted']} wanted of one {body['si']['feature']}"
    return ", ".join(filter(None, [stated["name"], made, *rest, on]))


def _lot_reading(body: Mapping[str, Any]) -> str:
    written, again = str(body["stated"]), body["again"]
    return ", ".join(
        filter(
            None,
            [
                f"piece {body['number']} reads {written}",
                f"cut again {show(again, LENGTH, unit='mm', digits=4)}" if again else "",
                f"setting {body['setting']}",
                f"the stop at {show(body['set_for'], LENGTH, unit='mm', digits=4)}",
                f"with {body['instrument']}" if body["instrument"] else "",
                body["when"],
            ],
        )
    )


def _size(body: Mapping[str, Any]) -> str:
    stated, taken = body["stated"], body["taken"]
    aim = f"aimed at {stated['aim']}" if stated["aim"] is not None else ""
    return ", ".join(
        filter(
            None,
            [
                f"{body['feature']} {stated['size']}",
                aim,
                _CUTS[body["cut"]],
                f"with {taken['instrument']}" if taken["instrument"] else "",
                body["when"],
            ],
        )
    )
