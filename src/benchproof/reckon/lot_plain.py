"""A lot as plain data in SI: its plan, how it stands, pairs."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_report import LotReport, do_next
from benchproof.reckon.pairing import MatingOdds, Pairing


def plain_lot_plan(plan: LotPlan) -> dict[str, Any]:
    """The plan of a lot; sizes in metres, chances from 0 to 1."""
    first, chart = plan.first_off, plan.chart
    return {
        "limits": asdict(plan.limits),
        "wanted": plan.wanted,
        "chance": plan.chance,
        "blanks": plan.blanks,
        "reached": plan.reached,
        "binomial": plan.binomial,
        "share_good": plan.share_good,
        "aim": plan.aim,
        "set_for": plan.set_for,
        "accept": {"lower": plan.accept[0], "upper": plan.accept[1]},
        "interval": plan.interval,
        "wear": plan.wear,
        "first_off": None if first is None else asdict(first),
        "measure_every": plan.measure_every,
        "run_chart": {**asdict(chart), "useful": chart.useful},
        "recuts": plan.recuts,
        "scrap": plan.scrap,
        "escapes": plan.escapes,
        "parts_behind": plan.process.standing.parts,
        "gauge": {"u": plan.gauge.u, "zero_share": plan.gauge.zero_share},
        "chance_by_blanks": [float(each) for each in plan.chance_by_blanks],
        "assumed": list(plan.assumed),
        "steps": list(plan.steps),
        "seed": plan.seed,
        "lots": plan.lots,
    }


def plain_lot_report(report: LotReport) -> dict[str, Any]:
    """How a lot stands; sizes in metres, (5 %, median, 95 %) where there are three."""
    return {
        **asdict(report.so_far),
        "rough": report.so_far.rough,
        "done": report.done,
        "do_next": do_next(report),
        "pieces": [
            {
                "number": each.number,
                "reading": each.reading,
                "decision": each.decision.value,
                "cut_again": each.cut_again,
            }
            for each in report.decided
        ],
        "signals": asdict(report.signals),
        "capability": None if report.capability is None else asdict(report.capability),
        "missing": list(report.missing),
        "settings": report.settings,
        "since_reset": report.since_reset,
        "reset_due": report.reset_due,
        "off": report.off,
        "move": report.move,
    }


def plain_pairing(pairing: Pairing, any_with_any: MatingOdds) -> dict[str, Any]:
    """Best pairs and the odds of any with any."""
    return {
        "pairs": [asdict(fit) for fit in pairing.fits],
        "spare": list(pairing.spare),
        "all_right": pairing.all_right,
        "expected": pairing.expected,
        "any_with_any": asdict(any_with_any),
    }
