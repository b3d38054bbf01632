"""Answers as plain data for JSON: SI numbers, units named, nothing lost."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from benchproof.reckon.aims import Aim
from benchproof.reckon.answer import Answer, Bounds, MeritRange, Range, Target
from benchproof.reckon.odds import Odds
from benchproof.reckon.result import Result


def plain_answer(answer: Answer) -> dict[str, Any]:
    """Turn an answer into plain data: dictionaries, lists, strings, numbers, ``None``."""
    unit = answer.best.kind.unit
    plain_window = answer.plain_window
    return {
        "duty": answer.duty,
        "title": answer.title,
        "level": answer.level,
        "already_cut": answer.already_cut,
        "known_from": answer.known_from,
        "odds": _odds(answer.best.odds),
        "window": {
            "of": answer.value_label or answer.best.label,
            "unit": unit,
            "plain": None
            if plain_window is None
            else {
                "lower": plain_window.lower,
                "upper": plain_window.upper,
                "reason": plain_window.reason or None,
                "wanted": plain_window.wanted,
                "allowed": plain_window.allowed,
            },
            "odds": _bounds(answer.window),
        },
        "limits": {"unit": unit, **_bounds(answer.limits)},
        "size_limits": None
        if answer.size_limits is None
        else {"unit": unit, "lower": answer.size_limits[0], "upper": answer.size_limits[1]},
        "aims": [
            {"purpose": "least cost", **_target(answer.best)},
            {"purpose": "best odds", **_target(answer.likeliest)},
        ],
        "stepwise": None
        if answer.steps is None
        else {
            "start": _aim(answer.steps.start),
            "start_size": answer.steps.start_size,
            "start_value": answer.steps.start_value,
            "unit": unit,
            "cut": answer.steps.cut,
            "step": answer.steps.step,
            "test": answer.steps.test,
            "steps_median": answer.steps.median,
            "steps_p90": answer.steps.p90,
            "overshoot": answer.steps.missed,
            "source": answer.steps.source,
        },
        "merits": [_merit(merit) for merit in answer.merits],
        "causes": [asdict(cause) for cause in answer.causes],
        "flags": [asdict(flag) for flag in answer.flags],
        "order_of_work": list(answer.work.get("metric", ())),
        "cautions": list(answer.cautions),
        "theory": answer.theory,
        "sources": list(answer.sources),
        "seed": answer.seed,
        "draws": answer.draws,
        "versions": dict(answer.versions),
    }


def plain_result(result: Result) -> dict[str, Any]:
    """Turn a bench test's result into plain data; the answer about the part is part of it."""
    return {
        "test": result.test,
        "test_title": result.title,
        "readings": result.readings,
        "residuals": list(result.residuals),
        "measured": [_range(figure) for figure in result.measured],
        "before": [_range(figure) for figure in result.before],
        "forecasts": [
            {
                "name": forecast.name,
                "label": forecast.label,
                "tested_held": _range(forecast.tested_held),
                "tested_open": _range(forecast.tested_open),
                "sizes_held": _range(forecast.sizes_held),
                "sizes_open": _range(forecast.sizes_open),
            }
            for forecast in result.forecasts
        ],
        "held": dict(result.held),
        "learning": asdict(result.learning),
        **plain_answer(result.answer),
    }


def _odds(odds: Odds) -> dict[str, Any]:
    return {**asdict(odds), "sampling_error": odds.sampling_error}


def _aim(aim: Aim) -> dict[str, Any]:
    return {"offset": aim.offset, "odds": _odds(aim.odds)}


def _target(target: Target) -> dict[str, Any]:
    return {
        "feature": target.feature,
        "size": target.size,
        "value": target.value,
        "offset": target.offset,
        "unit": target.kind.unit,
        "odds": _odds(target.odds),
    }


def _bounds(found: Bounds) -> dict[str, Any]:
    return {
        "lower": found.lower,
        "upper": found.upper,
        "level": found.level,
        "reason": found.reason or None,
        "best": found.best,
        "best_value": found.best_value,
    }


def _range(figure: Range) -> dict[str, Any]:
    return {
        "name": figure.name,
        "label": figure.label,
        "unit": figure.kind.unit,
        "median": figure.median,
        "p5": figure.p5,
        "p95": figure.p95,
    }


def _merit(merit: MeritRange) -> dict[str, Any]:
    need = merit.need
    return {
        **_range(merit.range),
        "need": None
        if need is None
        else {"limit": need.limit, "direction": need.direction, "reason": need.reason},
        "met": merit.met,
    }
