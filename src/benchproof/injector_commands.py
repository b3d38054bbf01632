"""The command that draws an injector's working map: where it runs, spills, draws air, knocks off.

With records of its bench tests the map is drawn from what they leave open, and what each of the
coefficients has been narrowed to is told beside it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal

from cyclopts import App, Parameter

from benchproof.exits import ANSWERED, NO_FIT, say

if TYPE_CHECKING:
    from benchproof.duties.contract import Array
    from benchproof.duties.injector_spec import InjectorSpec
    from benchproof.physics.injector_map import WorkingMap
    from benchproof.reckon.plan import Job

_PRESSURES: Final = tuple(float(bar) * 1e5 for bar in range(2, 13))
_WARMTHS: Final = tuple(273.15 + celsius for celsius in range(5, 50, 5))
_DRAWS: Final = 256
_LETTERS: Final = ("=", "s", "a", "H", "C", "L", "x")
_KEY: Final = (
    "= just dry   s spills   a draws air at an open overflow",
    "H steam not condensed   C combining throat choked   L delivery pressure low",
)

Record = Annotated[Path | None, Parameter(help="Record of that bench test (TOML).")]


def map_(
    spec: Path,
    *,
    lathe: Annotated[Path | None, Parameter(help="What your lathe has shown (TOML).")] = None,
    made: Annotated[Path | None, Parameter(help="What is made and measured (TOML).")] = None,
    catch: Record = None,
    dry: Record = None,
    throttle: Record = None,
    warm: Record = None,
    units: Annotated[Literal["metric", "inch"], Parameter(help="Units to answer in.")] = "metric",
) -> int:
    """Map an injector: boiler pressure against tank, where it runs, spills, knocks off, and why.

    Parameters
    ----------
    spec
        Spec of the injector (TOML).
    """
    from benchproof.bench_tests import load_bench_test
    from benchproof.columns import page, wrapped
    from benchproof.job_files import read_job, read_record
    from benchproof.reckon.learning import ImpossibleReadings
    from benchproof.reckon.together import learned_together

    job, _, _ = read_job("injector", spec, lathe, made)
    records = {"catch-test": catch, "dry-point": dry, "throttle-test": throttle, "warm-tank": warm}
    tests = [
        (test, read_record(test, path).spec)
        for test, path in ((load_bench_test(key), path) for key, path in records.items() if path)
    ]
    joint = job.joint()
    before = joint.samples(joint.normals(2048, 1))
    after = before
    if tests:
        try:
            after, _ = learned_together(job, tests)
        except ImpossibleReadings as impossible:
            say(page(wrapped(str(impossible), "", "")))
            return NO_FIT
    lines = [*_map_told(job, after, units), "", *_overflow_told(job, after, units)]
    if tests:
        lines += _learned_told(before, after, [test.title for test, _ in tests])
    say(page(lines))
    return ANSWERED


def register(app: App) -> None:
    """Add the command to the others."""
    app.command(map_, name="map")


def map_of(spec: InjectorSpec, samples: Mapping[str, Array]) -> WorkingMap:
    """Working map of an injector from draws of its sizes and coefficients, shape (n,) each.

    What happens at a place is that of the medians; shares are those of the draws.
    """
    import numpy as np

    from benchproof.duties.injector_model import InjectorCones
    from benchproof.duties.injector_sizes import service_of
    from benchproof.physics.injector_map import working_map

    draws = InjectorCones(spec)({name: each[:_DRAWS] for name, each in samples.items()})
    middle = {name: np.median(each) for name, each in draws.items()}
    service = service_of(spec)
    return working_map(
        injector=service.at(service.working_pressure, service.feed_temperature),
        samples={name: float(each) for name, each in middle.items()},
        boiler_pressure=np.array(_PRESSURES) + spec.air_pressure,
        feed_temperature=np.array(_WARMTHS),
        draws=draws,
    )


def _map_told(
    job: Job[InjectorSpec], samples: Mapping[str, Array], units: Literal["metric", "inch"]
) -> Sequence[str]:
    import numpy as np

    from benchproof.columns import wrapped
    from benchproof.physics.injector_limits import working_range
    from benchproof.quantities import GAUGE_PRESSURE, MASS_FLOW, TEMPERATURE, show

    found = map_of(job.spec, samples)
    inch = units == "inch"
    unit, warmth_unit, flow_unit = ("psi", "°F", "lb/h") if inch else ("bar", "°C", "g/min")

    def number(text: str) -> str:
        return text.split(" ", maxsplit=1)[0]

    columns = [number(show(t, TEMPERATURE, unit=warmth_unit)) for t in found.feed_temperature]
    usual = int(np.argmin(np.abs(found.feed_temperature - job.spec.feed_temperature)))
    lines = [
        "Working map of the injector",
        "",
        *wrapped(
            f"Boiler in {unit} gauge down, tank in {warmth_unit} across: in how many of a hundred "
            "injectors so made it runs, and what one in the middle of all that is believed does. "
            f"Delivered and spilled in {flow_unit} with the tank at {columns[usual]} {warmth_unit}."
        ),
        "",
        f"  {unit:>5} |" + "".join(f"{name:>6}" for name in columns) + " | delivers  spills",
        "  " + "-" * (8 + 6 * len(columns) + 19),
    ]
    assert found.share_running is not None
    for row in reversed(range(len(found.boiler_pressure))):
        gauge = float(found.boiler_pressure[row]) - job.spec.air_pressure
        places = "".join(
            f"{round(100.0 * share):>5}{_LETTERS[mode]}"
            for share, mode in zip(found.share_running[row], found.mode[row], strict=True)
        )
        runs = found.mode[row, usual] <= 2
        delivered, spilled = (
            number(show(float(each[row, usual]), MASS_FLOW, unit=flow_unit)) if runs else "-"
            for each in (found.delivered, found.spilled)
        )
        shown = number(show(gauge, GAUGE_PRESSURE, unit=unit))
        lines.append(f"  {shown:>5} |{places} | {delivered:>8} {spilled:>7}")
    from benchproof.duties.injector_model import InjectorCones
    from benchproof.duties.injector_sizes import service_of

    service = service_of(job.spec)
    cones = InjectorCones(job.spec)({name: each[:_DRAWS] for name, each in samples.items()})
    stretch = working_range(
        injector=service.at(service.working_pressure, service.feed_temperature),
        samples=cones,
        step=0.5e5,
    )
    low = stretch.low[stretch.found] - job.spec.air_pressure
    told = ""
    if low.size:
        ends = [
            show(float(np.quantile(low, share)), GAUGE_PRESSURE, unit=unit, digits=0 if inch else 1)
            for share in (0.05, 0.5, 0.95)
        ]
        told = (
            f"Lower limit with the usual tank: {ends[1]}, and in 90 of 100 between {ends[0]} and "
            f"{ends[2]}. "
        )
    return [
        *lines,
        "",
        *(f"  {line}" for line in _KEY),
        "",
        *wrapped(
            f"{told}These are limits of running, not of starting: no theory of starting gives "
            "figures. Below 1 mm nobody has published measurements; without bench tests the band "
            "is that of full-size injectors of a hundred years ago."
        ),
    ]


def _overflow_told(
    job: Job[InjectorSpec], samples: Mapping[str, Array], units: Literal["metric", "inch"]
) -> list[str]:
    from benchproof.duties.injector_overflow import overflow_of
    from benchproof.duties.injector_spec import FLOODED
    from benchproof.telling_injectors import overflow_told

    found = overflow_of(job.spec, samples)
    return overflow_told(found, units, flooded=job.spec.overflow == FLOODED)


def _learned_told(
    before: Mapping[str, Array],
    after: Mapping[str, Array],
    titles: Sequence[str],
) -> list[str]:
    import numpy as np

    from benchproof.bench_tests.injector_bench import coefficient_figures
    from benchproof.columns import table, wrapped

    def told(values: Any) -> str:
        low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
        return f"{middle:.3f} ({low:.3f} to {high:.3f})"

    earlier = {figure.name: figure.values for figure in coefficient_figures(before)}
    later = coefficient_figures(after)
    rows = [
        (figure.label, f"{told(figure.values)}; before {told(earlier[figure.name])}")
        for figure in later
    ]
    stated = [
        f'{figure.name} = "{np.mean(figure.values):.3f} ± {np.std(figure.values):.3f}"'
        for figure in later
    ]
    return [
        "",
        f"WHAT THE TESTS SHOWED TOGETHER: {', '.join(title.lower() for title in titles)}",
        *table(rows),
        "",
        *wrapped(
            "For the spec of your next injector, in which these are common to all you make; how "
            "much one differs from the next is assumed, not shown:"
        ),
        *(f"  {line}" for line in stated),
    ]
