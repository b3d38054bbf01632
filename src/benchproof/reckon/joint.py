"""The joint draw: one set of standard normals in, true sizes and unknowns out.

This is the only owner of the draw. Given the spread of each process, every feature's deviation
from its aim is linear in independent standard normals (one per lasting bias, cut and gauge), so a
measured size is a linear constraint on them. It is met exactly by moving each draw along the
constraint's own direction: for Gaussian draws the result is distributed as the conditional
distribution (Matheron's rule; Journel and Huijbregts, Mining Geostatistics, 1978, ch. VII, from
memory). Measurement and capability are thereby combined, never swapped.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.duties.contract import CorrelatedUnknowns, Unknown
from benchproof.features import PROCESSES, Error, Feature
from benchproof.reckon.linear import Linear, conditional, nearer, project
from benchproof.reckon.taught import Taught
from benchproof.spread import Spread
from benchproof.workshop.standing import Standing

Array: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Made:
    """A finished feature: its measured size with standard uncertainty, and the aim when cut.

    ``aim`` is ``None`` when the piece was cut until it fitted, or nobody remembers: the measured
    size then stands alone, since what the lathe has shown is about aims.
    """

    size: float
    u: float
    aim: float | None = None


class Joint:
    """Features, errors, gauges and unknowns of one part, ready to be drawn together.

    ``standings`` maps process keys to what the lathe has shown; ``gauges`` maps instrument keys to
    standard uncertainties [SI]; ``made`` holds finished features; ``unmeasured`` gives, for
    finished features nobody measured, the deviation from the true mate (or from the aim).
    ``taught`` is what earlier parts' tests showed of unknowns.

    With ``pieces`` the biases, cuts and gauges behind each feature are drawn as one column, the
    piece itself: the same joint distribution of true values in fewer columns, for learning.
    """

    def __init__(
        self,
        *,
        features: Sequence[Feature],
        errors: Sequence[Error],
        unknowns: Sequence[Unknown | CorrelatedUnknowns],
        standings: Mapping[str, Standing],
        gauges: Mapping[str, float],
        made: Mapping[str, Made] | None = None,
        unmeasured: Mapping[str, Spread] | None = None,
        taught: Taught | None = None,
        pieces: bool = False,
    ) -> None:
        self.features = tuple(features)
        self.errors = {error.name: error for error in errors}
        self.unknowns = tuple(unknowns)
        self.standings = standings
        self.gauges = gauges
        self.made = dict(made or {})
        self.unmeasured = dict(unmeasured or {})
        self.taught = None if taught is None else taught.among(self.unknowns)
        self.pieces = pieces
        _check_names(self.features, self.errors, self.unknowns)
        self._live_errors = tuple(
            dict.fromkeys(
                name for f in self.features if self._by_aim(f) for name in f.gains if f.gains[name]
            )
        )
        self.processes = tuple(dict.fromkeys(self.errors[e].process for e in self._live_errors))
        self.columns = tuple(self._column_names())

    @property
    def swept(self) -> Feature:
        """The feature that is cut last."""
        return next(f for f in self.features if f.cut_last)

    def _by_aim(self, feature: Feature) -> bool:
        """Whether the feature's deviation comes from cutting to an aim."""
        made = self.made.get(feature.name)
        return feature.name not in self.unmeasured and (made is None or made.aim is not None)

    def gauge_of(self, name: str) -> float:
        """Standard uncertainty [SI] of the reading of a feature."""
        made = self.made.get(name)
        if made is not None:
            return made.u
        gauge = next(f.gauge for f in self.features if f.name == name)
        return self.gauges[gauge] if gauge is not None else 0.0

    def _read(self) -> Iterable[str]:
        """Features whose reading enters: made and measured, or suited by one still to be cut."""
        for feature in self.features:
            suited = any(
                f.to_suit
                and f.mate == feature.name
                and f.name not in self.made
                and f.name not in self.unmeasured
                for f in self.features
            )
            if (feature.name in self.made or suited) and self.gauge_of(feature.name) > 0.0:
                yield feature.name

    def _column_names(self) -> Iterable[str]:
        yield from (f"spread of {process}" for process in self.processes)
        if self.pieces:
            yield from (f"piece {feature.name}" for feature in self.features)
        else:
            yield from (f"bias of {process}" for process in self.processes)
            yield from (f"cut {name}" for name in self._live_errors)
            yield from (f"gauge {name}" for name in self._read())
            yield from (f"piece {name}" for name in self.unmeasured)
        for unknown in self.unknowns:
            if isinstance(unknown, CorrelatedUnknowns):
                yield from (f"unknown {name}" for name in unknown.names)
            else:
                yield f"unknown {unknown.name}"

    def normals(self, count: int, seed: int) -> Array:
        """Draw independent standard normals, shape (columns, count)."""
        return np.random.default_rng(seed).standard_normal((len(self.columns), count))

    def causes(self) -> dict[str, str]:
        """What spoils it, each cause by its key with a label: cuts, biases, gauges, unknowns.

        A cut that is over and measured is no cause any more; how well it is measured is.
        """
        if self.pieces:
            found = {f"piece {f.name}": f"the size of the {f.label}" for f in self.features}
        else:
            found = self._causes_of_sizes()
        for unknown in self.unknowns:
            name = unknown.names[0] if isinstance(unknown, CorrelatedUnknowns) else unknown.name
            found[f"unknown {name}"] = unknown.label
        return found

    def _causes_of_sizes(self) -> dict[str, str]:
        open_errors = {name for f in self.features if f.name not in self.made for name in f.gains}
        open_cuts = [name for name in self._live_errors if name in open_errors]
        found = {f"cut {n}": self.errors[n].label or n for n in open_cuts}
        for process in dict.fromkeys(self.errors[n].process for n in open_cuts):
            found[f"bias of {process}"] = f"lasting offset of {PROCESSES[process].plural}"
        return found | {f"gauge {n}": f"measuring the {self._label(n)}" for n in self._read()}

    def _label(self, name: str) -> str:
        return next(f.label for f in self.features if f.name == name)

    def scores(self, normals: Array) -> dict[str, Array]:
        """Normals by column, those of unknowns as earlier parts' tests moved them."""
        given = dict(zip(self.columns, normals, strict=True))
        if self.taught is not None:
            names = self.taught.spreads
            moved = self.taught.scores({name: given[f"unknown {name}"] for name in names})
            given |= {f"unknown {name}": scores for name, scores in moved.items()}
        return given

    def samples(self, normals: Array, *, halved: str | None = None) -> dict[str, Array]:
        """True value of every feature at its own aim, and every unknown; arrays of shape (n,).

        ``normals`` has shape (columns, n). ``halved`` names one cause to be held twice as well.
        """
        given = self.scores(normals)
        deviations = self._deviations(given, halved)
        values = {f.name: f.aim + deviations[f.name] for f in self.features}
        for unknown in self.unknowns:
            drawn = _draw_unknown(unknown, given)
            if halved in _keys(unknown):
                drawn = {name: nearer(value) for name, value in drawn.items()}
            values |= drawn
        return values

    def _deviations(self, given: dict[str, Array], halved: str | None) -> dict[str, Array]:
        spreads = {p: self.standings[p].spread_at(given[f"spread of {p}"]) for p in self.processes}
        rows: dict[str, Linear] = {}
        for feature in self.features:
            if feature.name in self.unmeasured:
                rows[feature.name] = self._unmeasured_row(feature, given, rows)
            else:
                rows[feature.name] = self._row(feature, spreads, rows)
        constraints = self._constraints(rows)
        if self.pieces:
            return self._as_pieces(given, rows, constraints, halved)
        if constraints:
            given = project(given, list(constraints.values()))
        # A size measured against its aim is held better as a whole; its reading stays what it is.
        better = next((name for name in constraints if halved == f"gauge {name}"), None)
        share = halved if better is None else None
        shape = next(iter(given.values())).shape
        found = {n: np.broadcast_to(row.at(given, share), shape) for n, row in rows.items()}
        if better is not None:
            found[better] = nearer(found[better])
        return found

    def _as_pieces(
        self,
        given: dict[str, Array],
        rows: Mapping[str, Linear],
        constraints: Mapping[str, Linear],
        halved: str | None,
    ) -> dict[str, Array]:
        """Deviations with one column for each feature, whatever stands behind it."""
        cut = [f.name for f in self.features if f.name not in self.unmeasured]
        found: dict[str, Array] = {}
        if cut:
            scores = np.stack([given[f"piece {name}"] for name in cut])
            drawn = conditional([rows[name] for name in cut], list(constraints.values()), scores)
            found = dict(zip(cut, drawn, strict=True))
        for feature in self.features:
            if feature.name in self.unmeasured:
                piece = rows[feature.name].constant
                if feature.mate is not None:
                    piece = piece - rows[feature.mate].constant + found[feature.mate]
                found[feature.name] = np.asarray(piece)
        return {n: nearer(v) if halved == f"piece {n}" else v for n, v in found.items()}

    def _unmeasured_row(
        self, feature: Feature, given: Mapping[str, Array], rows: Mapping[str, Linear]
    ) -> Linear:
        piece = self.unmeasured[feature.name].at(given[f"piece {feature.name}"])
        if feature.mate is None:
            return Linear(piece, {})
        mate_aim = next(f.aim for f in self.features if f.name == feature.mate)
        return Linear(piece + mate_aim - feature.aim, {}).plus(rows[feature.mate])

    def _row(
        self, feature: Feature, spreads: Mapping[str, Array], rows: Mapping[str, Linear]
    ) -> Linear:
        made = self.made.get(feature.name)
        if made is not None and made.aim is None:
            reading = Linear(made.size - feature.aim, {})
            return reading.plus(self._gauge_row(feature.name), -1.0)
        row = Linear(0.0 if made is None or made.aim is None else made.aim - feature.aim, {})
        for name, gain in feature.gains.items():
            if gain:
                row = row.plus(self._error_row(name, spreads), gain)
        if feature.to_suit and made is None:
            assert feature.mate is not None
            row = row.plus(rows[feature.mate]).plus(self._gauge_row(feature.mate))
        return row

    def _error_row(self, name: str, spreads: Mapping[str, Array]) -> Linear:
        error = self.errors[name]
        spread = spreads[error.process]
        middle, sd = self.standings[error.process].bias_given(spread)
        return Linear(
            error.unit * middle,
            {f"bias of {error.process}": error.unit * sd, f"cut {name}": error.unit * spread},
        )

    def _gauge_row(self, name: str) -> Linear:
        u = self.gauge_of(name)
        return Linear(0.0, {f"gauge {name}": u} if u > 0.0 else {})

    def _constraints(self, rows: Mapping[str, Linear]) -> dict[str, Linear]:
        """Reading minus what the draw would read, for every size measured against its aim."""
        found = {}
        for feature in self.features:
            made = self.made.get(feature.name)
            if made is None or made.aim is None or feature.name in self.unmeasured:
                continue
            read = rows[feature.name].plus(self._gauge_row(feature.name))
            found[feature.name] = read.plus(Linear(feature.aim - made.size, {}))
        return found


def _keys(unknown: Unknown | CorrelatedUnknowns) -> set[str]:
    names = unknown.names if isinstance(unknown, CorrelatedUnknowns) else (unknown.name,)
    return {f"unknown {name}" for name in names}


def _draw_unknown(
    unknown: Unknown | CorrelatedUnknowns, given: Mapping[str, Array]
) -> dict[str, Array]:
    if isinstance(unknown, Unknown):
        return {unknown.name: unknown.spread.at(given[f"unknown {unknown.name}"])}
    scores = np.stack([given[f"unknown {name}"] for name in unknown.names])
    eigenvalues, vectors = np.linalg.eigh(np.asarray(unknown.covariance))
    root = vectors * np.sqrt(np.maximum(eigenvalues, 0.0))
    values = np.asarray(unknown.means)[:, None] + root @ scores
    return dict(zip(unknown.names, values, strict=True))


def _check_names(
    features: Sequence[Feature],
    errors: Mapping[str, Error],
    unknowns: Sequence[Unknown | CorrelatedUnknowns],
) -> None:
    names = [f.name for f in features]
    for unknown in unknowns:
        names += unknown.names if isinstance(unknown, CorrelatedUnknowns) else (unknown.name,)
    clashes = {name for name in names if names.count(name) > 1}
    if clashes:
        raise ValueError(f"names of features and unknowns clash: {', '.join(sorted(clashes))}")
    if sum(f.cut_last for f in features) != 1:
        raise ValueError("exactly one feature must be cut last")
    for position, feature in enumerate(features):
        missing = set(feature.gains) - set(errors)
        if missing:
            raise ValueError(f"feature {feature.name!r} gains on unnamed errors {sorted(missing)}")
        if feature.mate is not None and feature.mate not in {f.name for f in features[:position]}:
            raise ValueError(f"feature {feature.name!r} must stand after its mate")
