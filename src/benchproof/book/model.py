"""The book as a builder uses it: find things by name, enter, correct, strike out, look back.

Everything typed is read before anything is written; what is refused is refused with every problem
at once, and the book stays as it was.
"""

from __future__ import annotations

import hashlib
import json
import mimetypes
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from benchproof.bench_tests import load_bench_test
from benchproof.book.days import a_day, understood_with_days
from benchproof.book.errors import Conflict
from benchproof.book.evidence import instrument_u, instruments, lathe_of
from benchproof.book.index import Index
from benchproof.book.kinds import SizeTaken, stated_body
from benchproof.book.roles import Role, leading_values, machine_of, roles_of, understood
from benchproof.book.state import Binding, State, Thing
from benchproof.book.store import Entry, Record, Store, canonical
from benchproof.book.taught import taught
from benchproof.book.temperatures import at_twenty
from benchproof.duties import load_duty
from benchproof.duties.contract import Unknown
from benchproof.instruments import Measures
from benchproof.quantities import ANGLE, LENGTH, Kind, QuantityError, parse
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job
from benchproof.reckon.plan import versions as reckoning_versions
from benchproof.reckon.result import fit_by_readings
from benchproof.reckon.taught import Taught
from benchproof.specs import Problem, SpecError, Understood, spread_to_json
from benchproof.workshop.lathe import Lathe

_WORKED_OUT: Final = frozenset(
    {"si", "value", "u", "aim", "process", "scale", "machine", "for_temperature", "resolved"}
)


class Book:
    """An open book. ``who`` is written beside everything entered."""

    def __init__(self, store: Store, who: str = "") -> None:
        self.store = store
        self.who = who
        self._state = (0, State())
        self._lathes: tuple[bytes, dict[str | None, Lathe]] = (b"", {})
        self._index = Index()

    @classmethod
    def create(cls, path: Path, stated: Mapping[str, object], *, who: str = "") -> Self:
        """Make a new book for a workshop; ``stated`` has its name."""
        body = stated_body("workshop", stated)
        book = cls(Store.create(path), who)
        book.store.add([Entry("workshop", body, who=who)])
        return book

    @classmethod
    def open(cls, path: Path, *, who: str = "") -> Self:
        """Open a book; raises a ``BookError`` in words."""
        return cls(Store.open(path), who)

    def close(self) -> None:
        """Close the file."""
        self.store.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        value: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def state(self) -> State:
        """What the book says now."""
        seen, state = self._state
        records = self.store.records
        count = len(records)
        if seen != count:
            state = state.followed_by(records[seen:count])
            self._state = (count, state)
        return state

    @property
    def index(self) -> Index:
        """Which records belong together, of the book as it stands."""
        known, records = self._index, self.store.records
        if known.seen != len(records):
            known = self._index = known.followed_by(records[known.seen :])
        return known

    @property
    def lathe(self) -> Lathe:
        """The first machine, as the evidence shows it."""
        return self.lathe_called(None)

    def lathe_called(self, machine: str | None) -> Lathe:
        """A machine, by its id, as the evidence shows it; without one, the first."""
        head = self.store.head
        if self._lathes[0] != head:
            self._lathes = (head, {})
        known = self._lathes[1]
        if machine not in known:
            known[machine] = lathe_of(self.state, machine)
        return known[machine]

    def find(self, kind: str, name: str) -> Thing:
        """Find a thing of a kind by its name (any letter case) or id; refuses in words."""
        things = self.state.of(kind)
        exact = [t for t in things if t.id == name]
        named = exact or [t for t in things if t.name.casefold() == name.strip().casefold()]
        if len(named) == 1:
            return named[0]
        if len(named) > 1:
            ids = ", ".join(t.id[:8] for t in named)
            raise Conflict(
                f"{len(named)} of kind {kind} are called {name!r}; name one by its id: {ids}"
            )
        near = get_close_matches(name, [t.name for t in things], n=1, cutoff=0.5)
        hint = f"; did you mean {near[0]!r}?" if near else "."
        known = ", ".join(t.name for t in things[:12]) or "none yet"
        raise Conflict(f"the book has no {kind} called {name!r}{hint} There are: {known}.")

    def binding(self, name: str) -> Binding:
        """Find a duty on a set of pieces by its name or id."""
        found = [
            b
            for b in self.state.bindings.values()
            if b.id == name or b.name.casefold() == name.strip().casefold()
        ]
        if len(found) == 1:
            return found[0]
        names = [b.name for b in self.state.bindings.values()]
        near = get_close_matches(name, names, n=1, cutoff=0.5)
        hint = f"; did you mean {near[0]!r}?" if near else "."
        known = ", ".join(names) or "none yet"
        raise Conflict(f"the book has no one duty called {name!r}{hint} There are: {known}.")

    def enter(
        self,
        kind: str,
        stated: Mapping[str, object],
        *,
        subject: str | None = None,
        supersedes: str | None = None,
        key: str = "",
    ) -> Record:
        """Enter a thing of a kind, or correct one by superseding it."""
        body = stated_body(kind, stated)
        if kind in {"machine", "engine", "part", "piece", "lot", "instrument"}:
            known = {t.id: t.name for t in self.state.of(kind)}
            self._name_is_free(kind, str(body["si"]["name"]), known, key, supersedes)
        return self._write(kind, body, subject, supersedes, key)

    def _name_is_free(
        self, kind: str, name: str, known: Mapping[str, str], *own: str | None
    ) -> None:
        """Refuse a name that another of the kind has; ``own`` are records of this one itself."""
        itself = {self.state.first_of(key) for key in own if key}
        wanted = name.strip().casefold()
        if any(n.strip().casefold() == wanted for k, n in known.items() if k not in itself):
            article = "an" if kind[0] in "aeiou" else "a"
            raise Conflict(
                f"the book has {article} {kind} called {name!r} already; choose another name"
            )

    def _write(
        self,
        kind: str,
        body: Mapping[str, Any],
        subject: str | None,
        supersedes: str | None,
        key: str,
    ) -> Record:
        """Write a record, or hand back the one that was written when it was sent before."""
        held = self.store.get(key) if key else None
        if held is not None:
            same = (held.kind, _asked(held.body)) == (kind, _asked(json.loads(canonical(body))))
            if not same or (subject is not None and subject != held.subject):
                raise Conflict(f"the book holds another record under the id {key}")
            return held
        latest = self._latest(supersedes, kind)
        if latest is not None and subject is None:
            subject = latest.subject
        return self._add(Entry(kind, body, subject, latest and latest.id, self.who, id=key))

    def _latest(self, key: str | None, kind: str) -> Record | None:
        """The newest record of what ``key`` names, so that a correction is of that."""
        if key is None:
            return None
        record = self._standing(key)
        if record.kind != kind:
            raise Conflict(f"a {kind} cannot take the place of a {record.kind}")
        return record

    def _standing(self, key: str) -> Record:
        """The record that says now what the thing with this record is; refuses in words."""
        state = self.state
        first = state.first_of(key)
        if first is None:
            raise Conflict(f"the book holds no record {key} that could be corrected or struck out")
        record = state.standing_record(first)
        if record is None or state.is_struck(key):
            raise Conflict(f"the record {key[:8]} is struck out already; enter it anew")
        return record

    def _add(self, entry: Entry, contents: Sequence[bytes] = ()) -> Record:
        return self.store.add([entry], contents)[0]

    def strike_out(self, key: str, why: str) -> Record:
        """Strike out what was entered by mistake; it stays in the history.

        ``key`` of a first record strikes out the whole of it, corrections and all: nothing comes
        back. ``key`` of the newest correction strikes out that alone: what it corrected stands
        again. What a duty stands on is refused.
        """
        if not why.strip():
            raise Conflict("say why it is struck out")
        standing = self._standing(key)
        first = self.state.first_of(key)
        if key not in {first, standing.id}:
            raise Conflict(
                f"the correction {key[:8]} was itself corrected; strike out {standing.id[:8]}, "
                f"or the whole of it by its first record {str(first)[:8]}"
            )
        if key == first:
            self._stands_alone(key, standing.kind)
        return self._add(Entry("struck out", {"why": why}, None, key, self.who))

    def _stands_alone(self, key: str, kind: str) -> None:
        """Refuse to strike out what a duty cannot do without."""
        for binding in self.state.bindings.values():
            if key == binding.engine or key in binding.roles.values():
                raise Conflict(
                    f"the duty {binding.name!r} needs this {kind}; strike out the duty first, "
                    f"or correct the {kind}"
                )

    def bind(
        self,
        duty_key: str,
        name: str,
        stated: Mapping[str, object],
        roles: Mapping[str, str],
        *,
        engine: str,
        machine: str | None = None,
        supersedes: str | None = None,
        key: str = "",
    ) -> Record:
        """Put a duty on pieces: ``stated`` is its spec as text, ``roles`` name a piece each.

        Its route is the duty's default one, on the ``machine`` named, else on the first.
        """
        duty = load_duty(duty_key)
        owner = self.find("engine", engine)
        understood = duty.spec_type.from_text(stated, inherited=leading_values(owner))
        wanted = [feature.name for feature in duty.features(understood.spec)]
        if sorted(roles) != sorted(wanted):
            raise Conflict(f"{duty_key} wants a piece for each of: {', '.join(wanted)}")
        pieces = {role: self.find("piece", piece).id for role, piece in roles.items()}
        names = {b.id: b.name for b in self.state.bindings.values()}
        self._name_is_free("duty", name, names, key, supersedes)
        body = {
            "duty": duty_key,
            "name": name,
            "stated": _as_text(stated),
            "version": duty.spec_type.version,
            "roles": pieces,
            "route": {
                "name": "default",
                "machine": None if machine is None else self.find("machine", machine).id,
            },
        }
        return self._write("duty", body, owner.id, supersedes, key)

    def understood(self, binding: Binding) -> Understood[Any]:
        """A binding's spec now: what is stated, then the engine's leading values, then defaults."""
        return understood(self.state, binding)

    def measure(
        self,
        piece: str,
        feature: str,
        size: object,
        *,
        aim: object | None = None,
        u: object | None = None,
        taken: Mapping[str, object] | None = None,
        supersedes: str | None = None,
        key: str = "",
    ) -> Record:
        """Enter a size: of which piece and feature, with what, aimed at what, how it was cut.

        ``taken`` states the instrument, the cut, temperatures and the date. Raises ``SpecError``
        with every problem.
        """
        thing, body = self.read_size(piece, feature, size, aim=aim, u=u, taken=taken)
        return self._write("size", body, thing.id, supersedes, key)

    def read_size(
        self,
        piece: str,
        feature: str,
        size: object,
        *,
        aim: object | None = None,
        u: object | None = None,
        taken: Mapping[str, object] | None = None,
    ) -> tuple[Thing, dict[str, Any]]:
        """Read a size as :meth:`measure` does, without entering it: its piece and its body."""
        thing = self.find("piece", piece)
        role = self.role_of(thing, feature)
        kind = role.feature.kind if role else LENGTH
        problems: list[Problem] = []
        value = _read(size, kind, "size", problems)
        aimed = None if aim is None else _read(aim, kind, "aim", problems)
        doubt = None if u is None else _read(u, kind.deviation, "u", problems, least=0.0)
        try:
            how = understood_with_days(SizeTaken, taken or {}).spec
            machine = self.find("machine", how.machine).id if how.machine else None
        except SpecError as refused:
            problems += refused.problems
        usual = role.feature.gauge if role else None
        with_what = str((taken or {}).get("instrument") or usual or "")
        gauge = self.gauge_named(with_what, problems, "angle" if kind is ANGLE else "length")
        if problems:
            raise SpecError(problems)
        if doubt is None:
            doubt = instrument_u(self.state, gauge)
        if how.cut == "fitted":
            aimed = None
        gauged = value
        if kind is LENGTH:
            value, doubt = at_twenty(
                value,
                doubt,
                of=role.feature.material if role else None,
                part_temperature=how.part_temperature,
                room_temperature=how.room_temperature,
            )
        return thing, {
            "feature": feature,
            "stated": {
                "size": str(size),
                "aim": None if aim is None else str(aim),
                "u": None if u is None else str(u),
            },
            "taken": how.model_dump(mode="json"),
            "value": value,
            "u": doubt,
            "aim": aimed,
            "cut": how.cut,
            "process": role.process if role else None,
            "scale": role.scale if role else value,
            "machine": machine or (role.machine if role else None),
            "for_temperature": value - gauged,
            "when": how.when,
        }

    def gauge_named(self, name: str, problems: list[Problem], measures: Measures = "length") -> str:
        """The instrument of this name, any letter case; an unknown one would count as exact."""
        known = [key for key, one in instruments(self.state).items() if one.measures == measures]
        for key in known:
            if key.casefold() == name.strip().casefold():
                return key
        if name:
            near = get_close_matches(name, known, n=1)
            there = f"the book knows no such instrument; there are: {', '.join(known)}"
            problems.append(Problem("instrument", "instrument", name, there, *near))
        return ""

    def role_of(self, piece: Thing, feature: str) -> Role | None:
        """The feature a piece plays in some duty, its process, size and machine."""
        known = roles_of(self.state, piece.id)
        if known and feature not in known:
            raise Conflict(
                f"no duty speaks of the {feature} of {piece.name!r}; it has: {', '.join(known)}"
            )
        return known.get(feature)

    def test(
        self,
        binding: str,
        test_key: str,
        stated: Mapping[str, object],
        *,
        when: str = "",
        supersedes: str | None = None,
        key: str = "",
    ) -> Record:
        """Enter a bench test: its readings as stated, and all that it is reckoned with now."""
        bound = self.binding(binding)
        bench = load_bench_test(test_key)
        if bound.duty not in bench.serves:
            raise Conflict(f"a {test_key} tells nothing of a {bound.duty}")
        record = bench.record_type.from_text(stated).spec
        job = self.job(bound)
        spec = job.spec
        body = {
            "test": test_key,
            "stated": _as_text(stated),
            "version": bench.record_type.version,
            "when": a_day(when),
            "resolved": {
                "duty": bound.duty,
                "spec": spec.model_dump(mode="json"),
                "unknowns": {
                    u.name: spread_to_json(u.spread)
                    for u in load_duty(bound.duty).unknowns(spec)
                    if isinstance(u, Unknown)
                },
                "versions": reckoning_versions(),
                "sizes": {name: [made.size, made.u, made.aim] for name, made in job.made.items()},
                "fit": fit_by_readings(job, bench, record),
            },
        }
        return self._write("bench test", body, bound.id, supersedes, key)

    def attach(self, subject: str, path: Path, note: str = "") -> Record:
        """Keep a photograph or document about anything in the book."""
        return self.attach_data(subject, path.name, path.read_bytes(), note)

    def attach_data(
        self, subject: str, name: str, data: bytes, note: str = "", *, key: str = ""
    ) -> Record:
        """Keep what stands in a file of this name, as :meth:`attach` does."""
        media, _ = mimetypes.guess_type(name)
        body = {
            "name": name,
            "media": media or "application/octet-stream",
            "sha256": hashlib.sha256(data).hexdigest(),
            "bytes": len(data),
            "note": note,
        }
        return self._add(Entry("attachment", body, subject, None, self.who, id=key), [data])

    def made(self, binding: Binding) -> dict[str, Made]:
        """The latest size of every role that is made and measured, and not scrapped since."""
        found = {}
        for role, piece in binding.roles.items():
            lost = self.state.lost(piece)
            sizes = self.state.sizes_of(piece, role)
            if sizes and (not lost or sizes[-1].order > lost[-1]):
                last = sizes[-1]
                found[role] = Made(last.value, last.u, last.aim if last.cut == "first" else None)
        return found

    def job(self, binding: Binding) -> Job[Any]:
        """The duty, spec, lathe, sizes and what others taught of a binding, to be reckoned."""
        return self.job_alone(binding, taught(self, binding))

    def job_alone(self, binding: Binding, before: Taught | None = None) -> Job[Any]:
        """What :meth:`job` gives, with only what was taught ``before``."""
        return Job(
            load_duty(binding.duty),
            self.understood(binding).spec,
            self.lathe_called(machine_of(self.state, binding)),
            self.made(binding),
            taught=before,
        )


def _asked(body: Mapping[str, Any]) -> dict[str, Any]:
    """What a builder stated of a record: the rest was worked out from what the book said then."""
    return {name: value for name, value in body.items() if name not in _WORKED_OUT}


def _as_text(stated: Mapping[str, object]) -> dict[str, Any]:
    """What was stated, as plain data that JSON keeps."""
    plain: dict[str, Any] = {}
    for name, value in stated.items():
        if isinstance(value, Mapping):
            plain[str(name)] = _as_text(value)
        elif isinstance(value, list | tuple):
            plain[str(name)] = [_as_text(v) if isinstance(v, Mapping) else str(v) for v in value]
        elif isinstance(value, bool | int | float):
            plain[str(name)] = value
        else:
            plain[str(name)] = str(value)
    return plain


def _read(
    given: object, kind: Kind, name: str, problems: list[Problem], *, least: float | None = None
) -> float:
    unit = "µm" if name == "u" and kind is LENGTH else "mm" if kind is LENGTH else kind.unit
    try:
        return parse(given, kind, default_unit=unit, minimum=least)  # type: ignore[arg-type]
    except QuantityError as refused:
        problems.append(
            Problem(
                field=name,
                label=name,
                given=refused.given,
                message=f"{refused.reason}; give {refused.allowed}",
                example=refused.example,
            )
        )
        return 0.0
