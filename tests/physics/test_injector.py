"""The injector as a whole: what is conserved, what fails and why, and the plain way of solving."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics.errors import Array, OutOfRange
from benchproof.physics.injector import SIZES, Injector, prepare
from benchproof.physics.injector_coefficients import STEAM_SPEED_KEPT, recovery
from benchproof.physics.injector_running import Cause, Running
from benchproof.physics.mixing_water import mixing_water
from benchproof.physics.ranges import Numbers
from benchproof.physics.steam_cone import SEPARATION, steam_cone
from plain_injector import plain_injector
from reference_injector import AIR, REFERENCE, at_gauge

GRAVITY = 9.80665
TABLES = 3e-5  # what the tables cost, against the formulation itself


def builds(count: int, *, seed: int = 5, diameter: float = 20e-6) -> dict[str, Array]:
    """Reference injectors with errors of size and uncertain coefficients."""
    draw = np.random.default_rng(seed)
    samples = {name: np.full(count, value) for name, value in REFERENCE.items()}
    for name in SIZES:
        samples[name] += draw.uniform(-diameter, diameter, count)
    samples["draft_bore"] += draw.uniform(-23e-6, 23e-6, count)
    samples["steam_discharge"] = draw.normal(1.0, 0.02, count)
    samples["momentum"] = draw.uniform(0.63, 0.78, count)
    samples["water_discharge"] = draw.normal(0.70, 0.04, count)
    samples["mixing"] = draw.uniform(0.5, 1.0, count)
    product = draw.normal(0.33, 0.025, count)
    samples["recovery"] = recovery(product=product, momentum=samples["momentum"])
    return samples


conditions = pytest.mark.parametrize(
    ("bar", "celsius"), [(2.0, 15.0), (4.0, 25.0), (6.0, 15.0), (8.0, 35.0), (12.0, 20.0)]
)


@conditions
def test_what_comes_in_goes_out(bar: float, celsius: float) -> None:
    running = at_gauge(bar, celsius).perform(builds(2000))

    together = running.steam_flow + running.water_flow
    np.testing.assert_allclose(running.delivered + running.spilled, together, rtol=1e-13)
    np.testing.assert_allclose(running.total_flow, together, rtol=1e-13)
    assert (running.delivered >= 0.0).all()
    assert (running.spilled >= 0.0).all()
    assert (running.fresh <= running.water_flow * (1.0 + 1e-12)).all()
    np.testing.assert_allclose(running.spill * together, running.spilled, atol=1e-15)


@conditions
def test_the_mixture_holds_the_heat_of_steam_and_feed(bar: float, celsius: float) -> None:
    running = at_gauge(bar, celsius).perform(builds(2000))
    water, cone = mixing_water(), steam_cone(1.0)

    brought = running.steam_flow * cone.enthalpy(bar * 1e5 + AIR)
    brought = brought + running.water_flow * water.enthalpy(celsius + 273.15)
    held = running.total_flow * water.enthalpy(running.mixture_temperature)
    np.testing.assert_allclose(held[running.jets], brought[running.jets], rtol=2e-6)
    assert running.jets.any()


@conditions
def test_the_jet_has_the_momentum_that_came_in(bar: float, celsius: float) -> None:
    samples = builds(2000)
    running = at_gauge(bar, celsius).perform(samples)
    heavy = running.feed_density
    chamber = running.chamber_pressure

    area = 0.25 * np.pi * np.square(samples["mouth"])
    impulse = running.steam_flow * STEAM_SPEED_KEPT * running.mouth_velocity
    impulse += (running.mouth_pressure - chamber) * area
    fall = AIR + heavy * GRAVITY * 0.1 - chamber
    speed = samples["feed_speed_kept"] * np.sqrt(2.0 * np.maximum(fall, 0.0) / heavy)
    pull = (AIR - chamber) * 0.25 * np.pi * np.square(samples["combining_throat"])
    momentum = samples["momentum"] / STEAM_SPEED_KEPT * impulse + running.water_flow * speed - pull
    sound = running.jets & ~running.detached
    jet = running.total_flow * running.jet_velocity
    np.testing.assert_allclose(jet[sound], momentum[sound], rtol=1e-9)
    assert sound.any()


@conditions
def test_the_feed_is_what_the_chamber_draws_in(bar: float, celsius: float) -> None:
    samples = builds(2000)
    running = at_gauge(bar, celsius).perform(samples)

    ring = 0.25 * np.pi * (np.square(samples["draft_bore"]) - np.square(samples["nose"]))
    fall = AIR + running.feed_density * GRAVITY * 0.1 - running.chamber_pressure
    drawn = samples["water_discharge"] * ring * np.sqrt(2.0 * running.feed_density * fall)
    np.testing.assert_allclose(running.water_flow[running.jets], drawn[running.jets], rtol=1e-7)


@conditions
def test_no_jet_is_thicker_than_its_throat(bar: float, celsius: float) -> None:
    samples = builds(2000)
    running = at_gauge(bar, celsius).perform(samples)

    jet = running.total_flow[running.jets] / (running.density * running.jet_velocity)[running.jets]
    throat = 0.25 * np.pi * np.square(samples["combining_throat"])[running.jets]
    assert (jet <= throat * (1.0 + 1e-6)).all()
    solid = running.solid[running.jets]
    np.testing.assert_allclose(jet[solid], throat[solid], rtol=1e-6)


@conditions
def test_no_jet_has_more_energy_than_came_in(bar: float, celsius: float) -> None:
    samples = builds(2000)
    lossless = samples | {"momentum": STEAM_SPEED_KEPT, "feed_speed_kept": 1.0}
    running = at_gauge(bar, celsius).perform(lossless)

    steam = 0.5 * running.steam_flow * running.mouth_velocity**2
    fall = AIR + running.feed_density * GRAVITY * 0.1 - running.chamber_pressure
    feed = running.water_flow * np.maximum(fall, 0.0) / running.feed_density
    jet = 0.5 * running.total_flow * running.jet_velocity**2
    assert (jet < steam + feed)[running.jets].all()


@conditions
def test_the_plain_way_of_solving_finds_the_same(bar: float, celsius: float) -> None:
    samples = builds(3, seed=int(10 * bar))
    running = at_gauge(bar, celsius).perform(samples)
    names = {
        "runs": Cause.RUNS,
        "not condensed": Cause.NOT_CONDENSED,
        "choked": Cause.THROAT_CHOKED,
        "short": Cause.DELIVERY_SHORT,
    }

    for each in range(3):
        plain = plain_injector(
            {name: float(column[each]) for name, column in samples.items()},
            boiler=bar * 1e5 + AIR,
            feed_temperature=celsius + 273.15,
        )
        assert running.cause[each] == names[plain.cause]
        if running.jets[each]:
            assert bool(running.solid[each]) == plain.solid
            for found, expected in (
                (running.water_flow, plain.feed),
                (running.mixture_temperature, plain.temperature),
                (running.chamber_pressure, plain.chamber),
                (running.jet_velocity, plain.velocity),
                (running.delivered, plain.delivered),
                (running.highest_pressure, plain.highest),
            ):
                np.testing.assert_allclose(found[each], expected, rtol=TABLES)


WIDE_MOUTHS = {
    False: {
        "mouth": 2.741e-3,
        "nose": 2.941e-3,
        "draft_bore": 3.127e-3,
        "combining_throat": 0.833e-3,
        "momentum": 0.513,
        "mixing": 0.619,
    },
    True: {
        "mouth": 2.268e-3,
        "nose": 2.468e-3,
        "draft_bore": 3.7e-3,
        "combining_throat": 1.102e-3,
        "momentum": 0.622,
        "mixing": 0.655,
    },
}


@pytest.mark.parametrize("solid", WIDE_MOUTHS)
def test_a_jet_that_leaves_its_wall_is_found_the_plain_way_too(solid: bool) -> None:
    sample = REFERENCE | WIDE_MOUTHS[solid]
    running = at_gauge(3.0, 40.0).perform(sample)
    plain = plain_injector(sample, boiler=3e5 + AIR, feed_temperature=313.15)

    assert running.detached
    assert running.mouth_pressure < SEPARATION * running.chamber_pressure
    assert bool(running.solid) == plain.solid == solid
    for found, expected in (
        (running.water_flow, plain.feed),
        (running.jet_velocity, plain.velocity),
        (running.chamber_pressure, plain.chamber),
    ):
        np.testing.assert_allclose(found, expected, rtol=TABLES)


def test_mouths_of_every_width_fill_their_throats() -> None:
    """A jet that leaves the wall early bends the balance: some of these must be halved down to."""
    draw = np.random.default_rng(0)
    count = 20_000
    samples = {name: np.full(count, value) for name, value in REFERENCE.items()}
    samples["mouth"] = draw.uniform(1.0e-3, 4e-3, count)
    samples["nose"] = samples["mouth"] + 0.2e-3
    samples["draft_bore"] = samples["nose"] * (1.0 + draw.uniform(0.02, 0.5, count))
    samples["combining_throat"] = draw.uniform(0.56e-3, 1.2e-3, count)
    samples["momentum"] = draw.uniform(0.3, 0.78, count)
    running = at_gauge(6.0).perform(samples)

    solid = running.solid & running.jets
    area = (running.total_flow / (running.density * np.maximum(running.jet_velocity, 1e-9)))[solid]
    throat = 0.25 * np.pi * np.square(samples["combining_throat"])[solid]
    assert (running.detached & solid).sum() > 1000
    np.testing.assert_allclose(area, throat, rtol=1e-5)


CHOKED = {
    "mouth": 3.44e-3,
    "nose": 3.64e-3,
    "draft_bore": 5.06e-3,
    "combining_throat": 1.192e-3,
    "momentum": 0.762,
    "mixing": 0.740,
}


def test_a_throat_that_chokes_is_found_the_plain_way_too() -> None:
    plain = plain_injector(REFERENCE | CHOKED, boiler=6e5 + AIR, feed_temperature=288.15)
    assert plain.cause == "choked"
    assert at_gauge(6.0).perform(REFERENCE | CHOKED).cause == Cause.THROAT_CHOKED


@given(scale=st.floats(0.4, 8.0), bar=st.floats(3.0, 10.0))
@settings(max_examples=30)
def test_every_flow_grows_as_the_square_of_the_size(scale: float, bar: float) -> None:
    injector = at_gauge(bar)
    larger = REFERENCE | {name: REFERENCE[name] * scale for name in SIZES}
    one, other = injector.perform(REFERENCE), injector.perform(larger)

    assert one.cause == other.cause
    np.testing.assert_allclose(other.delivered, one.delivered * scale**2, rtol=1e-6)
    np.testing.assert_allclose(other.highest_pressure, one.highest_pressure, rtol=1e-6)


@pytest.mark.parametrize(
    ("change", "cause"),
    [
        ({}, Cause.RUNS),
        ({"draft_bore": 1.7e-3}, Cause.NOT_CONDENSED),
        ({"recovery": 0.3}, Cause.DELIVERY_SHORT),
        (CHOKED, Cause.THROAT_CHOKED),
        ({"mouth": 1.7e-3}, Cause.DOES_NOT_GO_TOGETHER),
        ({"steam_throat": 1.4e-3}, Cause.DOES_NOT_GO_TOGETHER),
        ({"draft_bore": 1.6e-3}, Cause.DOES_NOT_GO_TOGETHER),
        ({"combining_throat": 0.5e-3}, Cause.DOES_NOT_GO_TOGETHER),
        ({"delivery_exit": 0.5e-3}, Cause.DOES_NOT_GO_TOGETHER),
        ({"steam_throat": -1e-3}, Cause.DOES_NOT_GO_TOGETHER),
        ({"delivery_throat": 0.0}, Cause.DOES_NOT_GO_TOGETHER),
    ],
)
def test_what_does_not_run_says_why(change: dict[str, float], cause: Cause) -> None:
    running = at_gauge(6.0).perform(REFERENCE | change)

    assert running.cause == cause
    assert bool(running.runs) == (cause == Cause.RUNS)
    if cause not in (Cause.RUNS, Cause.DELIVERY_SHORT):
        assert not running.jets
        for nothing in (running.delivered, running.fresh, running.void, running.fullness):
            assert nothing == 0.0
        assert running.spill == 1.0
        assert running.pressure_ratio == running.margin == 0.0


def test_a_trickle_of_steam_in_a_flood_settles() -> None:
    flood = REFERENCE | {"steam_throat": 2e-7, "draft_bore": 5e-3}
    running = at_gauge(6.0).perform(flood)
    assert running.cause == Cause.THROAT_CHOKED
    np.testing.assert_allclose(running.mixture_temperature, 373.12, rtol=0.0, atol=0.01)


NUMBERS = (
    "steam_flow water_flow mixture_temperature density chamber_pressure jet_velocity capacity "
    "highest_pressure total_flow delivered spilled spill void fullness fresh fresh_volume "
    "entrainment pressure_ratio margin"
)


def everything(running: Running) -> dict[str, Array]:
    return {name: np.asarray(getattr(running, name)) for name in NUMBERS.split()}


@given(
    sizes=st.lists(st.floats(-1e-3, 5e-3), min_size=7, max_size=7),
    momentum=st.floats(0.0, 1.0),
    mixing=st.floats(0.0, 1.2),
    discharge=st.floats(0.0, 2.0),
    bar=st.floats(0.1, 15.0),
    celsius=st.floats(4.0, 95.0),
)
def test_no_sample_however_odd_gives_what_is_not_a_number(
    sizes: list[float], momentum: float, mixing: float, discharge: float, bar: float, celsius: float
) -> None:
    sample = REFERENCE | dict(zip(SIZES, sizes, strict=True))
    sample |= {"momentum": momentum, "mixing": mixing, "water_discharge": discharge}
    running = at_gauge(bar, celsius).perform(sample)

    for name, value in everything(running).items():
        assert np.isfinite(value).all(), name


@pytest.mark.parametrize("varied", [*SIZES, "momentum", "recovery", "mixing", "delivery_loss"])
def test_one_of_them_may_vary_alone(varied: str) -> None:
    reference: dict[str, Numbers] = {**REFERENCE, "delivery_loss": 15e3}
    values = np.linspace(0.97, 1.03, 7) * reference[varied]
    for bar in (3.5, 6.0, 9.0):
        together = everything(at_gauge(bar).perform(reference | {varied: values}))
        for each, value in enumerate(values):
            alone = everything(at_gauge(bar).perform(reference | {varied: float(value)}))
            for name, found in together.items():
                one = np.broadcast_to(found, 7)[each]
                np.testing.assert_allclose(one, alone[name], rtol=1e-9, atol=1e-12)


def test_pressure_and_feed_may_differ_from_sample_to_sample() -> None:
    bars, celsius = np.array([[3.5], [6.0], [9.0]]), np.array([10.0, 30.0])
    pressure, warmth = bars * 1e5 + AIR, celsius + 273.15
    own: dict[str, Numbers] = {"boiler_pressure": pressure, "feed_temperature": warmth}
    grid = everything(at_gauge(5.0).perform({**REFERENCE, **own}))
    prepared = prepare(head=0.1, boiler_pressure=pressure, feed_temperature=warmth)

    among = everything(prepared.perform(REFERENCE))
    for row, bar in enumerate(bars[:, 0]):
        for column, degrees in enumerate(celsius):
            alone = everything(at_gauge(float(bar), float(degrees)).perform(REFERENCE))
            for name in alone:
                found = np.broadcast_to(grid[name], (3, 2))[row, column]
                np.testing.assert_allclose(found, alone[name], rtol=1e-9, atol=1e-12)
                other = np.broadcast_to(among[name], (3, 2))[row, column]
                np.testing.assert_allclose(other, alone[name], rtol=1e-9, atol=1e-12)


def test_coefficients_left_out_take_their_defaults() -> None:
    bare = {name: REFERENCE[name] for name in SIZES}
    one, other = (at_gauge(6.0).perform(sample) for sample in (bare, REFERENCE))
    assert one.delivered == other.delivered


def test_an_overflow_below_the_atmosphere_helps_the_jet_and_shortens_its_pressure() -> None:
    def closed(pressure: float) -> Running:
        injector: Injector = prepare(
            boiler_pressure=9e5 + AIR,
            feed_temperature=288.15,
            head=0.1,
            overflow_pressure=pressure,
        )
        return injector.perform(REFERENCE)

    opened, shut = closed(AIR), closed(0.6e5)
    assert shut.jet_velocity > opened.jet_velocity
    np.testing.assert_allclose(opened.jet_velocity, at_gauge(9.0).perform(REFERENCE).jet_velocity)


def test_more_loss_in_the_pipe_is_more_to_deliver_against() -> None:
    for loss in (0.0, 50e3):
        injector = prepare(boiler_pressure=7e5, feed_temperature=288.15, delivery_loss=loss)
        running = injector.perform(REFERENCE)
        np.testing.assert_allclose(running.needed_pressure, 7e5 + loss)
        ratio = running.pressure_ratio * (7e5 - AIR) / (7e5 + loss - AIR)
        np.testing.assert_allclose(running.margin, ratio)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"boiler_pressure": 5e4}, "boiler pressure"),
        ({"boiler_pressure": 1e5}, "lift into a vacuum"),
        ({"boiler_pressure": 3e6}, "boiler pressure"),
        ({"feed_temperature": 260.0}, "feed temperature"),
        ({"feed_temperature": 380.0}, "feed temperature"),
        ({"air_pressure": 2e5}, "air pressure"),
        ({"head": 12.0}, "head"),
        ({"dryness": 0.5}, "dryness"),
        ({"overflow_pressure": 5e5}, "overflow pressure"),
        ({"delivery_loss": -1.0}, "delivery loss"),
    ],
)
def test_a_service_outside_the_tables_is_refused(change: dict[str, float], said: str) -> None:
    service = {"boiler_pressure": 7e5, "feed_temperature": 288.15} | change
    with pytest.raises(OutOfRange, match=said):
        prepare(**service)
