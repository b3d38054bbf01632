"""The shop card of one part or fit: what is taken to the lathe."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil
from typing import Any, Final, Literal

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.columns import sentence
from benchproof.drawing import Drawing
from benchproof.drawing.views import Projection
from benchproof.features import Feature
from benchproof.figures import in_hundred, in_hundreds, size_text, sizes_within
from benchproof.papers.beside_steps import beside_steps
from benchproof.papers.blank_rows import PartBlanks, blanks_of
from benchproof.papers.pictures import Picture, code, drawing_pictures
from benchproof.papers.readings import to_fill_in
from benchproof.papers.title_block import TitleBlock
from benchproof.papers.typesetting import typeset
from benchproof.papers.wording import PER_METRE, SUFFIX, Units, common_fraction, units_of
from benchproof.quantities import LENGTH, Kind, System, show
from benchproof.reckon.answer import BEST_ALL_THE_SAME, CUT_NOTHING, Answer, Flagged
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job
from benchproof.reckon.sized import sized
from benchproof.workshop.bar_sizes import next_bar
from benchproof.workshop.blanks import BAR, MOULDING, Blank

CardPaper = Literal["A5", "A4"]
PASSES_NOTHING: Final = (
    "This card passes nothing: a boiler and its fittings are for the boiler inspector and the "
    "code in force where you live."
)
_GAUGE_WORDS: Final = (
    "±: where 19 of 20 readings with it lie. The limits to accept allow for that already."
)


@dataclass(frozen=True, kw_only=True)
class About:
    """Whose card it is: what the book calls it, its engine, its pieces, where its page is.

    ``roles`` are feature and piece; ``made_from`` says of a feature whether its part is made from
    bar, a casting, or either. ``address`` is read by the code: the part's page, or its id.
    """

    title: str
    engine: str = ""
    roles: tuple[tuple[str, str], ...] = ()
    made_from: Mapping[str, str] = field(default_factory=dict)
    address: str = ""
    number: str = ""


@dataclass(frozen=True, kw_only=True)
class Choices:
    """How a card is to be: paper, units, how a casting is moulded, which projection."""

    paper: CardPaper = "A4"
    units: Units = "metric"
    moulding: str = MOULDING[0]
    projection: Projection = "first angle"


@dataclass(frozen=True)
class Card:
    """A card ready for type: its plain data and its pictures."""

    data: dict[str, Any]
    pictures: tuple[Picture, ...]


def shop_cards(cards: Sequence[Card], choices: Choices, title: str) -> bytes:
    """Set cards in one PDF, one after the other."""
    return typeset("card", *for_type(cards, choices, title))


def for_type(
    cards: Sequence[Card], choices: Choices, title: str
) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Data and pictures of a set of cards, for the typesetter."""
    data = {"title": title, "paper": choices.paper, "cards": [card.data for card in cards]}
    return data, {each.name: each.data for card in cards for each in card.pictures}


def card(
    job: Job[Any],
    answer: Answer,
    *,
    about: About,
    lead: Sequence[str] = (),
    choices: Choices | None = None,
    key: str = "card",
) -> Card:
    """Put together the card of a duty; ``lead`` are its words, ``key`` names its pictures.

    Raises :class:`benchproof.papers.rows.NoRoom` where no sheet holds the drawing.
    """
    choices = choices or Choices()
    system: System = units_of(choices.units)[0]
    duty, spec = job.duty, job.spec
    features = duty.features(spec)
    drawing = duty.drawing(spec, sized(job, answer))
    pictures = _drawings(drawing, about, choices, key)
    scanned = (code(about.address, name=f"{key}-code.svg"),) if about.address else ()
    parts = _blanks(job, drawing, about, choices)
    work = () if answer.hopeless else answer.work.get(system, ())
    head, steps = beside_steps(work, answer.cautions)
    data = {
        "above": " · ".join(filter(None, [about.engine, about.number])) or "Shop card",
        "title": about.title,
        "subtitle": duty.title,
        "roles": [list(role) for role in about.roles],
        "code": scanned[0].plain if scanned else None,
        **_what_to_cut(answer, choices.units),
        "lead": [text for text in lead if not text.startswith(_SAID_ABOVE)],
        "flags": [_flag(flag) for flag in answer.flags],
        "sizes": [_size(job, answer, feature, choices.units) for feature in features],
        "gauge-words": _GAUGE_WORDS,
        "blanks": [row for part in parts for row in _blank_rows(part, choices.units)],
        "blank-words": _blank_words(parts),
        "drawings": [picture.plain for picture in pictures],
        "cautions": list(head),
        "steps": [{"words": s.words, "cautions": list(s.cautions)} for s in steps],
        "tests": _tests(duty.key),
        "foot": f"{PASSES_NOTHING} Reckoned with {_versions(answer)}, {answer.draws} draws, seed "
        f"{answer.seed}; {answer.known_from}.",
    }
    return Card(data, (*pictures, *scanned))


# What the card says in large letters is not said again in its words.
_SAID_ABOVE: Final = ("Cut the ", "The best ", "Odds in 100", "Accept it ", "No gauge reading ")


def _blanks(
    job: Job[Any], drawing: Drawing | None, about: About, choices: Choices
) -> Sequence[PartBlanks]:
    """Blanks of what the drawing shows, none once all of it is made."""
    features = job.duty.features(job.spec)
    if drawing is None or all(feature.name in job.made for feature in features):
        return ()
    return blanks_of(drawing, features, moulding=choices.moulding, made_from=about.made_from)


def _drawings(
    drawing: Drawing | None, about: About, choices: Choices, key: str
) -> tuple[Picture, ...]:
    if drawing is None:
        return ()
    drawn = replace(drawing, projection=choices.projection, number=drawing.number or about.number)
    return drawing_pictures(
        drawn,
        name=key,
        paper="A5",
        units=choices.units,
        block=TitleBlock(engine=about.engine),
        orientation="landscape" if choices.paper == "A4" else "whichever is larger",
    )


def _what_to_cut(answer: Answer, units: Units) -> dict[str, Any]:
    best = answer.best
    system = units_of(units)[0]
    right, correctable, lost = in_hundreds([best.odds.right, best.odds.correctable, best.odds.lost])
    fit = ""
    if answer.value_label is not None:
        short = "short of any " if best.value < 0.0 and best.kind is LENGTH else ""
        value = abs(best.value) if best.kind is LENGTH else best.value
        fit = f"{show(value, best.kind, system=system)} {short}{answer.value_label}"
    limits = answer.size_limits
    size = each_unit(best.size, best.kind, units)
    deed, accept_words = f"Cut the {best.label} to", "accept it when it gauges"
    accept = limits_in(limits, best.kind, units) if limits else []
    if answer.already_cut:
        deed = f"{sentence(best.label)[:-1]}, as it is"
        accept_words = "what the needs allow, as gauged"
    elif answer.hopeless:
        deed, size, fit = answer.no_size, [sentence(CUT_NOTHING)[:-1]], ""
        accept_words, accept = "instead", [sentence(answer.no_window_advice)[:-1]]
    elif answer.window.lower is None:
        deed = f"{BEST_ALL_THE_SAME} {best.label} to"
    if not accept:
        accept_words, accept = "to accept it", ["no gauge reading alone will do"]
    return {
        "deed": deed,
        "size": size,
        "accept-words": accept_words,
        "accept": accept,
        "fit": fit,
        "odds": f"{right} right first time, {correctable} still correctable, {lost} lost",
    }


def each_unit(value: float, kind: Kind, units: Units) -> list[str]:
    """A size in each unit wanted, what is the same in both said once."""
    return list(dict.fromkeys(size_text(value, kind, each) for each in units_of(units)))


def limits_in(limits: tuple[float, float], kind: Kind, units: Units) -> list[str]:
    """Limits to accept, rounded inwards, in each unit wanted."""
    return list(dict.fromkeys(sizes_within(*limits, kind, each) for each in units_of(units)))


def _size(job: Job[Any], answer: Answer, feature: Feature, units: Units) -> dict[str, Any]:
    """One feature: what to cut it to, what to accept, what it is measured with and when."""
    system = units_of(units)[0]
    made = job.made.get(feature.name)
    chosen = feature.name == answer.best.feature
    value = sized(job, answer)[feature.name].aim
    limits = answer.size_limits if chosen and made is None else None
    suits = next(
        (f for f in job.duty.features(job.spec) if f.to_suit and f.mate == feature.name), None
    )
    instrument = job.lathe.instruments.get(feature.gauge or "")
    gauge = "–"
    if instrument is not None:
        reach = show(2.0 * instrument.u, feature.kind.deviation, system=system)
        gauge = f"{instrument.key} ±{reach}"
    if made is not None:
        when = ""
    elif suits is not None:
        when = f"before the {suits.label} is cut: that is cut to suit it"
    elif chosen:
        when = "as it comes off the tool, at the room's temperature"
    else:
        when = "as it comes off the tool; write it down"
    return {
        "what": feature.label,
        "size": _to_cut(value, feature, made, units, nothing=chosen and answer.hopeless),
        "accept": limits_in(limits, feature.kind, units)
        if limits
        else ["made" if made else "see above" if chosen else "as it comes"],
        "gauge": gauge,
        "when": when,
        "made": size_text(made.size, feature.kind, system) if made else " ",
    }


def _to_cut(
    value: float, feature: Feature, made: Made | None, units: Units, *, nothing: bool
) -> list[str]:
    """What a feature is cut to; what is made already only as it was aimed for, if that is known."""
    if nothing or (made is not None and made.aim is None):
        return ["–"]
    return each_unit(value if made is None or made.aim is None else made.aim, feature.kind, units)


def _blank_rows(part: PartBlanks, units: Units) -> list[dict[str, Any]]:
    finished = _round(part.diameter, part.length, units)
    rows = [
        {
            "part": part.title,
            "finished": finished,
            "made-from": _made_from(part, blank),
            "size": _to_take(blank, units),
            "pattern": _round(*blank.pattern, units, up=True) if blank.pattern else ["–"],
        }
        for blank in part.blanks
    ]
    for row in rows[1:]:
        row["part"] = ""
    return rows


def _made_from(part: PartBlanks, blank: Blank) -> str:
    if blank.made_as == BAR:
        return f"bar, {part.material}" if part.material else "bar"
    return f"casting, {blank.made_as}"


def _to_take(blank: Blank, units: Units) -> list[str]:
    """A blank as it is sawn or cast: bar in the next size stocked, lengths rounded up."""
    told = []
    for system in units_of(units):
        stocked = next_bar(blank.diameter, system) if blank.made_as == BAR else None
        told += _round(stocked or blank.diameter, blank.length, system, up=True)
    return told


def _round(diameter: float, length: float, units: Units, *, up: bool = False) -> list[str]:
    """Diameter by length; a blank is rounded up, to half millimetres or to sixteenths."""
    told = []
    for system in units_of(units):
        sizes = [_workable(size, system, up=up) for size in (diameter, length)]
        told.append(f"Ø{sizes[0]} × {sizes[1]} {SUFFIX[system]}")
    return told


def _workable(size: float, system: System, *, up: bool) -> str:
    """A size as the trade says it: inches as a fraction where they are one, or are rounded up."""
    number = size * PER_METRE[system]
    if up:
        steps = 2 if system == "metric" else 16
        number = ceil(number * steps - 1e-6) / steps
    if system == "inch":
        return common_fraction(number) or f"{number:.4f}"
    return f"{number:.3f}".rstrip("0").rstrip(".")


def _blank_words(parts: Sequence[PartBlanks]) -> str:
    """What goes for all blanks, and where their figures come from, each said once."""
    blanks = [blank for part in parts for blank in part.blanks]
    notes = dict.fromkeys(note for blank in blanks for note in blank.notes)
    found = dict.fromkeys(source for blank in blanks for source in blank.sources)
    left = "What is left to your own drawing, such as bosses and walls, comes on top too."
    return " ".join([*notes, left, sentence("; ".join(found))]) if blanks else ""


def _flag(flag: Flagged) -> str:
    share = "" if flag.share is None else f" (in {in_hundred(flag.share)} cases of 100)"
    return sentence(f"{flag.words.rstrip('.')}{share}")


def _tests(duty: str) -> list[dict[str, Any]]:
    found = []
    for key in BENCH_TESTS:
        test = load_bench_test(key)
        if duty in test.serves:
            told = f"{test.summary} How: benchproof procedure {key}, or its sheet."
            table = to_fill_in(test, whole=False).plain
            found.append({"title": test.title, "told": told, "table": table})
    return found


def _versions(answer: Answer) -> str:
    return f"benchproof {answer.versions.get('benchproof', '')}".strip()
