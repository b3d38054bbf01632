"""What the lathe has shown of the processes that a duty needs, part by part over the years."""

from __future__ import annotations

from starlette.responses import Response

from benchproof.book.evidence import witnesses
from benchproof.book.roles import machine_of, understood
from benchproof.duties import load_duty
from benchproof.features import PROCESSES
from benchproof.web.asking import Asked, page
from benchproof.web.finding import binding_at
from benchproof.web.showing import shown
from benchproof.web.standing_chart import standing_chart
from benchproof.workshop.standing_words import words


def behind(asked: Asked) -> Response:
    """Each process of a duty: its standing in words, and every part behind it."""
    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    state, there = book.state, machine_of(book.state, binding)
    lathe = book.lathe_called(there)
    duty, spec = load_duty(binding.duty), understood(state, binding).spec
    told = [w for w in witnesses(state) if w.machine == there]
    events = [
        (thing.spec.when, thing.spec.what)
        for thing in state.of("event")
        if thing.subject in {there, None}
    ]
    sizes: dict[str, float] = {}
    for error in duty.errors(spec):
        sizes.setdefault(error.process, error.size)
    return shown(
        asked,
        "behind.html",
        binding=binding,
        machine=lathe.name,
        processes=[
            {
                "label": PROCESSES[key].plural,
                "words": words(lathe.standings[key], PROCESSES[key], size=size, system=asked.units),
                "chart": standing_chart(told, events, key, asked.units),
            }
            for key, size in sizes.items()
        ],
    )


ROUTES = (page("/duty/{key}/lathe", behind),)
