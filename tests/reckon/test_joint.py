"""The joint draw: sharing, turning to suit, and made sizes, on two duties that are not alike."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from benchproof.duties.contract import CorrelatedUnknowns, Unknown
from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.features import Error, Feature
from benchproof.reckon.joint import Joint, Made
from benchproof.reckon.plan import Job, cut_separately
from benchproof.spread import Below, LogUniform, Normal, Uniform
from benchproof.workshop.lathe import Lathe, assumed_lathe
from benchproof.workshop.standing import Shown, learn
from toys import CockSpec, ToyCock

DRAWS = 40_000
BORE = 30e-3


def piston(**more: Any) -> PistonSpec:
    return PistonSpec(
        bore=BORE,
        land_length=20e-3,
        stroke=40e-3,
        bore_material="gunmetal",
        piston_material="gunmetal",
        boiler_pressure=8e5,
        **more,
    )


def practised_lathe() -> Lathe:
    """A lathe whose spread is known well, so that draws are nearly normal."""
    assumed = assumed_lathe()
    shown = [Shown(2.0 * z) for z in np.linspace(-1.7, 1.7, 60)]
    standings = dict(assumed.standings)
    for key in ("bore", "turn"):
        standings[key] = learn(standings[key].prior, shown)
    return replace(assumed, standings=standings)


def drawn(joint: Joint, seed: int = 7) -> dict[str, np.ndarray]:
    return joint.samples(joint.normals(DRAWS, seed))


def clearance_sd(joint: Joint) -> float:
    samples = drawn(joint)
    return float(np.std(samples["bore"] - samples["piston"]))


def test_a_shared_setting_drops_out_of_the_mismatch_of_two_tapers() -> None:
    def mismatch(angles: str) -> np.ndarray:
        job = Job(ToyCock(), CockSpec(angles=angles), assumed_lathe(), {})
        samples = drawn(job.joint())
        return np.asarray(samples["plug angle"] - samples["body angle"])

    together, apart = np.std(mismatch("one setting")), np.std(mismatch("two settings"))
    # 0.3 arcmin left on each against a clock trusted to 4 um over 25 mm, doubled: 1.6 arcmin.
    assert apart > 3.0 * together
    arcmin = np.pi / 180.0 / 60.0
    assert np.median(np.abs(mismatch("one setting"))) < 0.5 * arcmin


def test_each_angle_alone_is_as_uncertain_whether_or_not_the_setting_is_shared() -> None:
    sds = [
        float(np.std(drawn(Job(ToyCock(), CockSpec(angles=a), assumed_lathe(), {}).joint())[f]))
        for a in ("one setting", "two settings")
        for f in ("body angle", "plug angle")
    ]
    np.testing.assert_allclose(sds, sds[0], rtol=0.03)


def test_turned_to_suit_the_bores_own_error_drops_out_and_its_gauge_comes_in() -> None:
    job = Job(PistonFit(), piston(), practised_lathe(), {})
    separate = Job(PistonFit(), piston(piston_is="cut separately"), practised_lathe(), {})
    bore = float(np.std(drawn(separate.joint())["bore"]))
    turning = float(np.std(drawn(separate.joint())["piston"]))
    gauge = job.lathe.instruments["bore gauge"].u
    assert clearance_sd(job.joint()) == pytest.approx(np.hypot(turning, gauge), rel=0.02)
    assert clearance_sd(separate.joint()) == pytest.approx(np.hypot(turning, bore), rel=0.02)


def test_a_piston_aimed_at_the_measured_bore_beats_independent_cuts() -> None:
    made = {"bore": Made(BORE + 6e-6, 3e-6, BORE)}
    suited = Job(PistonFit(), piston(), practised_lathe(), made).joint()
    apart = Job(PistonFit(), piston(piston_is="cut separately"), practised_lathe(), made).joint()
    planned = Job(PistonFit(), piston(piston_is="cut separately"), practised_lathe(), {}).joint()
    assert clearance_sd(suited) == pytest.approx(clearance_sd(apart), rel=0.05)
    alone = drawn(planned)
    bore, turning, gauge = np.std(alone["bore"]), np.std(alone["piston"]), 3e-6
    left = bore * gauge / np.hypot(bore, gauge)
    assert clearance_sd(suited) == pytest.approx(np.hypot(turning, left), rel=0.02)
    assert clearance_sd(planned) == pytest.approx(np.hypot(turning, bore), rel=0.02)
    # Apart, the piston misses the bore that came out 6 um large; suited, it follows it.
    middle = np.mean(drawn(suited)["piston"]) - np.mean(drawn(apart)["piston"])
    assert middle == pytest.approx(6e-6, abs=0.3e-6)


def test_measurement_and_capability_combine_as_two_normals_do() -> None:
    lathe = practised_lathe()
    planned = drawn(Job(PistonFit(), piston(), lathe, {}).joint())["bore"]
    mean, sd = float(np.mean(planned)), float(np.std(planned))
    u, reading = 3e-6, BORE + 8e-6
    made = drawn(Job(PistonFit(), piston(), lathe, {"bore": Made(reading, u, BORE)}).joint())[
        "bore"
    ]
    weight = sd**2 / (sd**2 + u**2)
    assert np.mean(made) == pytest.approx(mean + weight * (reading - mean), abs=0.15e-6)
    assert np.std(made) == pytest.approx(np.sqrt(weight) * u, rel=0.03)


@pytest.mark.parametrize("u", [1e-6, 10e-6, 100e-6, 1e-3])
def test_a_measured_size_however_uncertain_never_widens_what_the_lathe_had_shown(
    u: float,
) -> None:
    for lathe in (assumed_lathe(), practised_lathe()):
        planned = drawn(Job(PistonFit(), piston(), lathe, {}).joint())["bore"]
        made = {"bore": Made(BORE + 2e-6, u, BORE)}
        measured = drawn(Job(PistonFit(), piston(), lathe, made).joint())["bore"]
        assert np.std(measured) <= 1.02 * np.std(planned)
        assert np.std(measured) <= 1.02 * u


def test_a_measured_angle_also_tells_of_the_setting_its_mate_will_be_cut_at() -> None:
    arcmin = np.pi / 180.0 / 60.0
    taper = Job(ToyCock(), CockSpec(), assumed_lathe(), {}).joint().features[0].aim
    made = {"body angle": Made(taper + 2.0 * arcmin, 0.1 * arcmin, taper)}
    shared = drawn(Job(ToyCock(), CockSpec(), assumed_lathe(), made).joint())
    apart = drawn(Job(ToyCock(), CockSpec(angles="two settings"), assumed_lathe(), made).joint())
    assert np.mean(shared["plug angle"]) - taper > 1.5 * arcmin
    assert abs(np.mean(apart["plug angle"]) - taper) < 0.1 * arcmin


def test_two_exact_readings_of_one_shared_error_are_both_honoured() -> None:
    taper = Job(ToyCock(), CockSpec(), assumed_lathe(), {}).joint().features[0].aim
    made = {
        "body angle": Made(taper + 3e-4, 0.0, taper),
        "plug angle": Made(taper + 2e-4, 0.0, taper),
    }
    samples = drawn(Job(ToyCock(), CockSpec(), assumed_lathe(), made).joint())
    np.testing.assert_allclose(samples["body angle"] - taper, 3e-4, atol=1e-8)
    np.testing.assert_allclose(samples["plug angle"] - taper, 2e-4, atol=1e-8)


def test_a_piece_cut_until_it_fitted_stands_on_its_measurement_alone() -> None:
    made = {"piston": Made(29.98e-3, 2e-6, None), "bore": Made(30.0e-3, 3e-6, None)}
    samples = drawn(Job(PistonFit(), piston(), assumed_lathe(), made).joint())
    assert np.mean(samples["piston"]) == pytest.approx(29.98e-3, abs=0.05e-6)
    assert np.std(samples["piston"]) == pytest.approx(2e-6, rel=0.02)
    assert clearance_sd(Job(PistonFit(), piston(), assumed_lathe(), made).joint()) == pytest.approx(
        np.hypot(2e-6, 3e-6), rel=0.02
    )


def test_a_finished_piece_nobody_measured_is_believed_smaller_than_its_true_mate() -> None:
    job = Job(PistonFit(), piston(), assumed_lathe(), {})
    joint = job.joint(unmeasured=job.duty.unmeasured(job.spec))
    samples = drawn(joint)
    gap = samples["bore"] - samples["piston"]
    assert gap.min() >= 1e-6 * 0.999
    assert gap.max() <= 300e-6 * 1.001
    assert np.median(gap) == pytest.approx(np.sqrt(1e-6 * 300e-6), rel=0.05)


def test_an_unmeasured_feature_without_a_mate_deviates_from_its_own_aim() -> None:
    joint = simple_joint(unmeasured={"a": Below(LogUniform(1e-6, 2e-6))})
    values = drawn(joint)["a"]
    assert values.max() <= 10e-3 - 1e-6 * 0.999
    assert "cut a" not in joint.columns


def test_the_same_seed_draws_the_same_and_another_does_not() -> None:
    joint = Job(PistonFit(), piston(), assumed_lathe(), {}).joint()
    np.testing.assert_array_equal(joint.normals(10, 3), joint.normals(10, 3))
    assert not np.array_equal(joint.normals(10, 3), joint.normals(10, 4))


def test_one_material_on_both_sides_shares_one_draw_of_expansion() -> None:
    alike = Job(PistonFit(), piston(), assumed_lathe(), {}).joint()
    unlike = Job(
        PistonFit(),
        piston().model_copy(update={"piston_material": "grey iron"}),
        assumed_lathe(),
        {},
    ).joint()
    expansions = [c for c in alike.columns if "expansion" in c]
    assert expansions == ["unknown expansion of gunmetal"]
    assert len([c for c in unlike.columns if "expansion" in c]) == 2


def test_a_correlated_block_is_drawn_with_its_means_and_covariance() -> None:
    block = CorrelatedUnknowns(("p", "q"), (1.0, -2.0), ((4.0, 1.5), (1.5, 1.0)), "block")
    samples = drawn(simple_joint(unknowns=[block]))
    found = np.cov(samples["p"], samples["q"])
    np.testing.assert_allclose(found, block.covariance, rtol=0.05)
    np.testing.assert_allclose([samples["p"].mean(), samples["q"].mean()], (1.0, -2.0), atol=0.03)
    halved = simple_joint(unknowns=[block])
    nearer = halved.samples(halved.normals(DRAWS, 7), halved="unknown p")
    np.testing.assert_allclose(np.cov(nearer["p"], nearer["q"]), found / 4.0, rtol=1e-9)


def test_holding_a_cause_twice_as_well_halves_its_share_and_moves_no_middle() -> None:
    joint = Job(
        PistonFit(), piston(), practised_lathe(), {"bore": Made(BORE + 9e-6, 3e-6, BORE)}
    ).joint()
    normals = joint.normals(DRAWS, 7)
    before = joint.samples(normals)
    assert "cut bore cut" not in joint.causes()  # the bore is cut; only its gauge is a cause now
    for cause in joint.causes():
        after = joint.samples(normals, halved=cause)
        for name, values in after.items():
            scale = np.std(before[name])
            assert abs(np.mean(values) - np.mean(before[name])) < 1e-3 * scale
            assert np.std(values) <= scale * 1.02
    gauged = joint.samples(normals, halved="gauge bore")
    assert np.std(gauged["bore"]) == pytest.approx(0.5 * np.std(before["bore"]), rel=1e-6)
    film = joint.samples(normals, halved="unknown film")
    assert np.std(film["film"]) == pytest.approx(0.5 * np.std(before["film"]), rel=1e-6)


@pytest.mark.parametrize(
    "made",
    [
        {},
        {"bore": Made(BORE + 9e-6, 3e-6, BORE)},
        {"bore": Made(BORE, 3e-6, None), "piston": Made(BORE - 20e-6, 2e-6, None)},
        {"bore": Made(BORE + 4e-6, 3e-6, BORE), "piston": Made(BORE - 20e-6, 2e-6, BORE - 15e-6)},
    ],
)
def test_pieces_in_one_column_each_are_spread_as_what_stands_behind_them(
    made: dict[str, Made],
) -> None:
    job = Job(PistonFit(), piston(), practised_lathe(), made)
    whole, pieces = drawn(job.joint()), drawn(job.joint(pieces=True), seed=8)
    both = [np.stack([samples["bore"], samples["piston"]]) for samples in (whole, pieces)]
    means, covariances = [b.mean(axis=1) for b in both], [np.cov(b) for b in both]
    np.testing.assert_allclose(means[0], means[1], atol=0.1e-6)
    largest = np.abs(covariances[0]).max()
    np.testing.assert_allclose(covariances[0], covariances[1], atol=0.04 * largest)


def test_pieces_share_a_setting_as_their_errors_do() -> None:
    job = Job(ToyCock(), CockSpec(), assumed_lathe(), {})
    whole, pieces = (
        np.corrcoef(s["body angle"], s["plug angle"])[0, 1]
        for s in (drawn(job.joint()), drawn(job.joint(pieces=True)))
    )
    assert whole == pytest.approx(pieces, abs=0.01)
    assert whole > 0.9


def test_an_unmeasured_piece_follows_its_mate_in_one_column_too() -> None:
    job = Job(PistonFit(), piston(), assumed_lathe(), {"bore": Made(BORE + 5e-6, 0.0, None)})
    joint = job.joint(unmeasured=job.duty.unmeasured(job.spec), pieces=True)
    samples = drawn(joint)
    np.testing.assert_allclose(samples["bore"], BORE + 5e-6, atol=1e-11)
    assert (samples["bore"] - samples["piston"]).min() > 0.9e-6
    nearer = joint.samples(joint.normals(DRAWS, 7), halved="piece piston")
    assert np.std(nearer["piston"]) == pytest.approx(0.5 * np.std(samples["piston"]), rel=1e-6)
    alone = simple_joint(unmeasured={"a": Below(LogUniform(1e-6, 2e-6))}, pieces=True)
    assert drawn(alone)["a"].max() <= 10e-3 - 0.999e-6


def test_causes_carry_the_builders_words() -> None:
    causes = Job(PistonFit(), piston(), assumed_lathe(), {}).joint().causes()
    assert causes["cut piston cut"] == "turning the piston"
    assert causes["gauge bore"] == "measuring the bore"
    assert causes["bias of turn"] == "lasting offset of turned diameters"


def test_cut_separately_takes_nothing_from_its_mate() -> None:
    features = cut_separately(PistonFit().features(piston()))
    assert not any(feature.to_suit for feature in features)


def simple_joint(**more: object) -> Joint:
    given: dict[str, object] = {
        "features": [Feature("a", 10e-3, "a", gains={"a": 1.0, "idle": 0.0}, cut_last=True)],
        "errors": [Error("a", "turn", 10e-3), Error("idle", "turn", 10e-3)],
        "unknowns": [Unknown("u", Uniform(0.0, 1.0), "u")],
        "standings": assumed_lathe().standings,
        "gauges": {},
    }
    return Joint(**(given | more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"unknowns": [Unknown("a", Normal(0.0, 1.0), "a")]}, "clash"),
        ({"features": [Feature("a", 1e-2, "a", gains={"a": 1.0})]}, "exactly one"),
        ({"features": [Feature("a", 1e-2, "a", gains={"b": 1.0}, cut_last=True)]}, "unnamed"),
        ({"features": [Feature("a", 1e-2, "a", mate="b", cut_last=True)]}, "after its mate"),
    ],
)
def test_features_that_do_not_hang_together_are_refused(
    change: dict[str, object], words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        simple_joint(**change)


def test_contracts_refuse_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="names no mate"):
        Feature("a", 1e-2, "a", to_suit=True)
    with pytest.raises(ValueError, match="known:"):
        Error("a", "guesswork", 1e-2)
    with pytest.raises(ValueError, match="square matrix"):
        CorrelatedUnknowns(("p", "q"), (0.0,), ((1.0,),), "block")
    with pytest.raises(ValueError, match="never negative"):
        CorrelatedUnknowns(("p", "q"), (0.0, 0.0), ((1.0, 2.0), (2.0, 1.0)), "block")
