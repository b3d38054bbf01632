"""The story of a build: notes and photographs of an engine in order, as PDF or as plain HTML."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from html import escape
from typing import Any, Final

from benchproof.book.model import Book
from benchproof.book.records import Record
from benchproof.book.state import Thing
from benchproof.papers.photographs import bare, day_of, ending_of
from benchproof.papers.typesetting import CannotSet, pictured, typeset

_CANNOT_SHOW: Final = "A file that papers cannot show"


@dataclass(frozen=True)
class Photograph:
    """A picture of the story: its name as a file, its bytes, and what it shows in words."""

    name: str
    data: bytes
    words: str


@dataclass(frozen=True)
class Moment:
    """One note or one picture: its day, what it is about, and what it says or shows."""

    day: str
    about: str
    text: str
    photograph: Photograph | None = None


@dataclass(frozen=True)
class Story:
    """All that was noted and photographed about an engine, the earliest first."""

    engine: str
    about: str
    workshop: str
    invented: bool
    moments: tuple[Moment, ...]


def story_of(book: Book, engine: str) -> Story:
    """Gather the story of an engine, named as the book names it.

    Notes and files count that are about the engine, its parts, pieces, duties, or what was
    measured and tested of them; their day is that of the note or of the camera, else that of the
    entry.
    """
    owner = book.find("engine", engine)
    names = named_in(book, owner)
    found: list[tuple[str, int, Moment]] = []
    for note in book.state.of("note"):
        if note.subject in names:
            day = note.spec.when or note.record.at[:10]
            about = names[note.subject]
            found.append((day, note.record.seq, Moment(day, about, note.spec.text)))
    for record in book.state.attachments:
        if record.subject in names:
            about = names[record.subject]
            moment = _pictured(book, record, about)
            found.append((moment.day, record.seq, moment))
    workshop = next(iter(book.state.of("workshop")), None)
    return Story(
        engine=owner.name,
        about=owner.spec.note,
        workshop=workshop.name if workshop else "",
        invented=workshop is not None and workshop.spec.invented == "yes",
        moments=tuple(moment for _, _, moment in sorted(found, key=lambda each: each[:2])),
    )


def named_in(book: Book, engine: Thing) -> dict[str, str]:
    """Everything that belongs to an engine by its id, each with the name of what it is about."""
    state = book.state
    names = {engine.id: engine.name}
    for part in state.of("part", engine.id):
        names[part.id] = part.name
        for piece in state.of("piece", part.id):
            names[piece.id] = piece.name
    for binding in state.bindings.values():
        if binding.engine == engine.id:
            names[binding.id] = binding.name
    for test in state.tests:
        if test.binding in names:
            names[test.id] = names[test.binding]
    for size in state.sizes:
        if size.piece in names:
            names[size.id] = names[size.piece]
    return names


def story_pdf(story: Story) -> bytes:
    """Set the story as PDF; a picture that turns out to be broken is told of, not shown."""
    try:
        return typeset("story", *for_type(story))
    except CannotSet:
        sound = replace(story, moments=tuple(map(_without_broken, story.moments)))
        if sound == story:
            raise
        return typeset("story", *for_type(sound))


def for_type(story: Story) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Data and pictures of a story, for the typesetter."""
    shown = [m.photograph for m in story.moments if m.photograph is not None]
    data = {
        "title": f"The building of {story.engine}",
        "about": story.about,
        "workshop": story.workshop,
        "invented": story.invented,
        "days": [
            {"day": in_words(day), "moments": [_plain(moment) for moment in moments]}
            for day, moments in by_day(story.moments)
        ],
    }
    return data, {each.name: each.data for each in shown}


def by_day(moments: Sequence[Moment]) -> list[tuple[str, list[Moment]]]:
    """Moments of each day together, in their order."""
    days: dict[str, list[Moment]] = {}
    for moment in moments:
        days.setdefault(moment.day, []).append(moment)
    return list(days.items())


def in_words(day: str) -> str:
    """A day as people write it, as it stands where it is none.

    >>> in_words("2026-02-07")
    '7 February 2026'
    """
    try:
        found = date.fromisoformat(day)
    except ValueError:
        return day
    return f"{found.day} {_MONTHS[found.month - 1]} {found.year}"


def story_html(story: Story) -> dict[str, bytes]:
    """The story as a page of plain HTML and its pictures, by the name of each file."""
    lines = [
        "<!doctype html>",
        '<html lang="en-GB">',
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>The building of {escape(story.engine)}</title>",
        f"<style>{_STYLE}</style>",
        f"<h1>The building of {escape(story.engine)}</h1>",
    ]
    if story.about:
        lines.append(f"<p>{escape(story.about)}</p>")
    if story.invented:
        lines.append("<p>Engine, workshop and all that is told here are invented.</p>")
    for day, moments in by_day(story.moments):
        lines.append(f"<h2>{escape(in_words(day))}</h2>")
        for moment in moments:
            lines += _html(moment)
    files = {
        each.photograph.name: each.photograph.data
        for each in story.moments
        if each.photograph is not None
    }
    return {"index.html": ("\n".join(lines) + "\n").encode(), **files}


_MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_STYLE: Final = (
    "body{max-width:42rem;margin:2rem auto;padding:0 1rem;font:1.05rem/1.5 sans-serif;"
    "color:#1c242d;background:#fff}"
    "h2{border-bottom:1px solid #1c242d;margin-top:2.5rem;font-size:1.15rem}"
    "img{max-width:100%;height:auto}figure{margin:1.5rem 0}figcaption,.about{color:#565c64}"
)


def _html(moment: Moment) -> list[str]:
    about = f'<p class="about">{escape(moment.about)}</p>'
    paragraphs = [f"<p>{escape(text)}</p>" for text in moment.text.splitlines() if text.strip()]
    picture = moment.photograph
    if picture is None:
        return [about, *paragraphs]
    return [
        about,
        f'<figure><img src="{escape(picture.name)}" alt="{escape(picture.words)}">',
        f"<figcaption>{escape(moment.text or picture.words)}</figcaption></figure>",
    ]


def _plain(moment: Moment) -> dict[str, Any]:
    picture = moment.photograph
    return {
        "about": moment.about,
        "paragraphs": [text for text in moment.text.splitlines() if text.strip()],
        "file": None if picture is None else picture.name,
        "words": "" if picture is None else picture.words,
    }


def _pictured(book: Book, record: Record, about: str) -> Moment:
    """A file that is kept, as a picture where papers can show it, else by its name."""
    body = record.body
    data = book.store.content(body["sha256"])
    ending = ending_of(data)
    day, note, name = day_of(data) or record.at[:10], body["note"], body["name"]
    if not ending:
        told = f"{note} " if note else ""
        return Moment(day, about, f"{told}({_CANNOT_SHOW}: {name})")
    picture = Photograph(f"{record.seq:05d}.{ending}", bare(data), note or f"{about}: {name}")
    return Moment(day, about, note, picture)


def _without_broken(moment: Moment) -> Moment:
    picture = moment.photograph
    if picture is None:
        return moment
    alone = Story("", "", "", False, (moment,))
    try:
        pictured("story", *for_type(alone), dots_per_inch=10.0)
    except CannotSet:
        text = f"{moment.text} ({_CANNOT_SHOW}: {picture.words})".strip()
        return replace(moment, text=text, photograph=None)
    return moment
