"""The lathe on the screen: its standing with every part behind it, its events, its gauges."""

from __future__ import annotations

from benchproof.book.evidence import witnesses
from web.screens import Browser, ids, words


def test_a_lathe_shows_every_part_behind_its_standing(demo: Browser) -> None:
    page = demo.get("/lathe").text
    found = witnesses(demo.app.state.desk.read().state)
    assert page.count('class="part"') == len(found) > 30
    told = words(page)
    assert "spindle bearings adjusted" in told
    assert "last checked" in told
    assert "How work is held" in told


def test_what_changed_the_machine_counts_from_its_day_on(demo: Browser) -> None:
    machine = demo.app.state.desk.read().state.of("machine")[0]
    before = demo.get(f"/lathe/{machine.id}").text
    typed = {"about": machine.id, "what": "new tool-post", "when": "2026-03-01", "trust": "0.1"}
    after = demo.then(demo.post("/enter/event", typed)).text
    assert "new tool-post" in after
    assert after != before
    assert "parts before count 10 in 100" in words(after)


def test_several_machines_are_told_apart(demo: Browser) -> None:
    other = demo.then(demo.post("/enter/machine", {"name": "Big lathe"})).text
    assert 'class="part"' not in other
    assert "Big lathe" in words(demo.get("/lathe").text)
    assert "All machines" in words(other)
    demo.post("/enter/instrument", {"name": "depth micrometer", "u": "4 um"})
    assert "depth micrometer" in words(demo.get(f"/lathe/{ids(demo)['Big lathe']}").text)


def test_without_a_machine_a_careful_builder_is_assumed(nothing: Browser) -> None:
    nothing.post("/first", {"begin": "own", "workshop": "Ada's"})
    told = words(nothing.get("/lathe").text)
    assert "careful builder" in told
    assert "Enter your machine" in told
