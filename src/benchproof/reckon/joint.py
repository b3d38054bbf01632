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


@dataclass(frozen=True)
class _Linear:
    """Deviation of one feature: a constant plus coefficients on the standard normals."""

    constant: Array | float
    coefficients: Mapping[str, Array | float]

    def at(self, normals: Mapping[str, Array], halved: str | None = None) -> Array:
        total = np.asarray(self.constant, dtype=float)
        for name, coefficient in self.coefficients.items():
            part = coefficient * normals[name]
            total = total + (_nearer(part) if name == halved else part)
        return total

    def plus(self, other: _Linear, factor: float = 1.0) -> _Linear:
        merged = dict(self.coefficients)
        for name, coefficient in other.coefficients.items():
            merged[name] = merged.get(name, 0.0) + factor * coefficient
        return _Linear(self.constant + factor * other.constant, merged)


class Joint:
    """Features, errors, gauges and unknowns of one part, ready to be drawn together.

    ``standings`` maps process keys to what the lathe has shown; ``gauges`` maps instrument keys to
    standard uncertainties [SI]; ``made`` holds finished features; ``unmeasured`` gives, for
    finished features nobody measured, the deviation from the true mate (or from the aim).
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
    ) -> None:
        self.features = tuple(features)
        self.errors = {error.name: error for error in errors}
        self.unknowns = tuple(unknowns)
        self.standings = standings
        self.gauges = gauges
        self.made = dict(made or {})
        self.unmeasured = dict(unmeasured or {})
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
        for process in self.processes:
            yield f"spread of {process}"
            yield f"bias of {process}"
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
        open_errors = {name for f in self.features if f.name not in self.made for name in f.gains}
        open_cuts = [name for name in self._live_errors if name in open_errors]
        found = {f"cut {n}": self.errors[n].label or n for n in open_cuts}
        for process in dict.fromkeys(self.errors[n].process for n in open_cuts):
            found[f"bias of {process}"] = f"lasting offset of {PROCESSES[process].plural}"
        found |= {f"gauge {n}": f"measuring the {self._label(n)}" for n in self._read()}
        for unknown in self.unknowns:
            name = unknown.names[0] if isinstance(unknown, CorrelatedUnknowns) else unknown.name
            found[f"unknown {name}"] = unknown.label
        return found

    def _label(self, name: str) -> str:
        return next(f.label for f in self.features if f.name == name)

    def samples(self, normals: Array, *, halved: str | None = None) -> dict[str, Array]:
        """True value of every feature at its own aim, and every unknown; arrays of shape (n,).

        ``normals`` has shape (columns, n). ``halved`` names one cause to be held twice as well.
        """
        given = dict(zip(self.columns, normals, strict=True))
        deviations = self._deviations(given, halved)
        values = {f.name: f.aim + deviations[f.name] for f in self.features}
        for unknown in self.unknowns:
            drawn = _draw_unknown(unknown, given)
            if halved in _keys(unknown):
                drawn = {name: _nearer(value) for name, value in drawn.items()}
            values |= drawn
        return values

    def _deviations(self, given: dict[str, Array], halved: str | None) -> dict[str, Array]:
        spreads = {p: self.standings[p].spread_at(given[f"spread of {p}"]) for p in self.processes}
        rows: dict[str, _Linear] = {}
        for feature in self.features:
            if feature.name in self.unmeasured:
                rows[feature.name] = self._unmeasured_row(feature, given, rows)
            else:
                rows[feature.name] = self._row(feature, spreads, rows)
        constraints = self._constraints(rows)
        if constraints:
            given = _project(given, list(constraints.values()))
        # A size measured against its aim is held better as a whole; its reading stays what it is.
        better = next((name for name in constraints if halved == f"gauge {name}"), None)
        share = halved if better is None else None
        shape = next(iter(given.values())).shape
        found = {n: np.broadcast_to(row.at(given, share), shape) for n, row in rows.items()}
        if better is not None:
            found[better] = _nearer(found[better])
        return found

    def _unmeasured_row(
        self, feature: Feature, given: Mapping[str, Array], rows: Mapping[str, _Linear]
    ) -> _Linear:
        piece = self.unmeasured[feature.name].at(given[f"piece {feature.name}"])
        if feature.mate is None:
            return _Linear(piece, {})
        mate_aim = next(f.aim for f in self.features if f.name == feature.mate)
        return _Linear(piece + mate_aim - feature.aim, {}).plus(rows[feature.mate])

    def _row(
        self, feature: Feature, spreads: Mapping[str, Array], rows: Mapping[str, _Linear]
    ) -> _Linear:
        made = self.made.get(feature.name)
        if made is not None and made.aim is None:
            reading = _Linear(made.size - feature.aim, {})
            return reading.plus(self._gauge_row(feature.name), -1.0)
        row = _Linear(0.0 if made is None or made.aim is None else made.aim - feature.aim, {})
        for name, gain in feature.gains.items():
            if gain:
                row = row.plus(self._error_row(name, spreads), gain)
        if feature.to_suit and made is None:
            assert feature.mate is not None
            row = row.plus(rows[feature.mate]).plus(self._gauge_row(feature.mate))
        return row

    def _error_row(self, name: str, spreads: Mapping[str, Array]) -> _Linear:
        error = self.errors[name]
        spread = spreads[error.process]
        middle, sd = self.standings[error.process].bias_given(spread)
        return _Linear(
            error.unit * middle,
            {f"bias of {error.process}": error.unit * sd, f"cut {name}": error.unit * spread},
        )

    def _gauge_row(self, name: str) -> _Linear:
        u = self.gauge_of(name)
        return _Linear(0.0, {f"gauge {name}": u} if u > 0.0 else {})

    def _constraints(self, rows: Mapping[str, _Linear]) -> dict[str, _Linear]:
        """Reading minus what the draw would read, for every size measured against its aim."""
        found = {}
        for feature in self.features:
            made = self.made.get(feature.name)
            if made is None or made.aim is None or feature.name in self.unmeasured:
                continue
            read = rows[feature.name].plus(self._gauge_row(feature.name))
            found[feature.name] = read.plus(_Linear(feature.aim - made.size, {}))
        return found


def _nearer(values: Array) -> Array:
    """The same draws, half as far from their mean: held, or known, twice as well."""
    middle = values.mean()
    return np.asarray(middle + 0.5 * (values - middle))


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


def _project(given: dict[str, Array], constraints: Sequence[_Linear]) -> dict[str, Array]:
    """Move each draw the least way that makes every constraint zero."""
    names = sorted({name for row in constraints for name in row.coefficients})
    count = next(iter(given.values())).shape[0]
    matrix = np.zeros((count, len(constraints), len(names)))
    for i, row in enumerate(constraints):
        for name, coefficient in row.coefficients.items():
            matrix[:, i, names.index(name)] = coefficient
    miss = np.stack([np.broadcast_to(row.at(given), count) for row in constraints], axis=-1)
    gram = matrix @ matrix.transpose(0, 2, 1)
    # Two exact readings of one shared error leave no room: a trace of play keeps it solvable.
    scale = np.trace(gram, axis1=1, axis2=2)[:, None, None]
    gram = gram + 1e-12 * scale * np.eye(len(constraints))
    steps = np.linalg.solve(gram, miss[..., None])[..., 0]
    moves = np.einsum("nij,ni->nj", matrix, steps)
    return given | {name: given[name] - moves[:, j] for j, name in enumerate(names)}


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
