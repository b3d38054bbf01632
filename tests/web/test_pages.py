"""What the pages show and take, without a script: reading, plain forms, sentences for refusals."""

from __future__ import annotations

import re
import time

import pytest

from benchproof.book.evidence import witnesses
from benchproof.book.model import Book
from benchproof.duties import DUTIES, load_duty
from web.screens import Browser, hidden, ids, words


def odds(page: str) -> tuple[str, ...]:
    """The three odds of an answer's page, in order."""
    found = re.search(r'<dl class="odds">.*?</dl>', page, re.DOTALL)
    assert found
    return tuple(re.findall(r"<dd>(.*?)</dd>", found[0]))


def test_first_start_offers_the_demo_and_teaches(nothing: Browser) -> None:
    assert nothing.get("/").headers["location"] == "/first"
    page = nothing.get("/first").text
    assert "demo book" in page
    assert page.count("<li>") == 3
    assert nothing.post("/first", {"begin": "own"}).status_code == 422
    own = nothing.then(nothing.post("/first", {"begin": "own", "workshop": "Ada's"}))
    assert "Three steps" in own.text
    assert "Ada" in own.text


def test_quick_answers_need_no_book(nothing: Browser) -> None:
    stated = {"bore": "1 1/4 in", "land_length": "20", "stroke": "40", "boiler_pressure": "80 psi"}
    stated |= {"bore_material": "gunmetal", "piston_material": "gunmetal"}
    answer = nothing.post("/quick/piston-fit", stated)
    assert answer.status_code == 200
    assert "31.75 mm (1.25 in)" in answer.text
    assert "careful builder" in answer.text
    assert len(odds(answer.text)) == 3


def test_every_problem_stands_beside_its_field_and_nothing_typed_is_lost(nothing: Browser) -> None:
    answer = nothing.post(
        "/quick/piston-fit", {"bore": "thirty", "stroke": "40 kg", "cutoff": "75 %"}
    )
    assert answer.status_code == 422
    page = answer.text
    for name, typed in (("bore", "thirty"), ("stroke", "40 kg")):
        box = re.search(rf'<input id="f-{name}".*?</div>\s*<p class="hint"', page, re.DOTALL)
        assert box
        assert f'value="{typed}"' in box[0]
        assert 'aria-invalid="true"' in box[0]
        assert 'class="wrong"' in box[0]
    assert 'value="75 %"' in page
    assert "is not stated" in page


@pytest.mark.parametrize("key", DUTIES)
def test_every_duty_has_its_form(nothing: Browser, key: str) -> None:
    page = nothing.get(f"/quick/{key}").text
    for field in load_duty(key).spec_type.model_fields:
        assert f'name="{field}' in page, field
    labels = re.findall(r'<label for="([^"]+)"', page)
    found = re.findall(r'\sid="([^"]+)"', page)
    assert set(labels) <= set(found)
    assert len(found) == len(set(found))
    told = re.findall(r'aria-describedby="([^"]+)"', page)
    assert {each for ids_of in told for each in ids_of.split()} <= set(found)


def test_the_engine_is_grouped_and_judged_in_the_background(demo: Browser) -> None:
    engine = ids(demo)["Dunnock"]
    for _ in range(200):
        page = demo.get(f"/engine/{engine}/reviewed").text
        if 'data-running="no"' in page:
            break
        time.sleep(0.1)
    told = words(page)
    assert "What holds Dunnock back most left piston fit in trouble" in told
    assert told.index("Cylinders and motion") < told.index("Feed and fittings")
    assert "in trouble" in told
    assert '<use href="/static/shapes.svg#trouble"/>' in page


def test_a_duty_shows_answer_spec_sizes_tests_and_history(demo: Browser) -> None:
    page = demo.get(f"/duty/{ids(demo)['left piston fit']}?full").text
    told = words(page)
    for wanted in (
        "29.974 mm",
        "Taking more off the piston does not help",
        "Drop test on plate glass",
        "size of left piston: piston 29.988 mm",
        "by invented builder",
    ):
        assert wanted in told, wanted


def test_a_page_does_not_wait_long_for_its_answer(
    demo: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchproof.web.pages.duty.PATIENCE", 0.0)
    address = f"/duty/{ids(demo)['right piston fit']}"
    page = demo.get(address).text
    assert "The answer is being reckoned" in page
    assert '<noscript><meta http-equiv="refresh"' in page
    assert 'data-quick="yes"' in page
    later = demo.get(f"{address}?full").text
    assert "being reckoned" not in later
    assert len(odds(later)) == 3


def test_every_part_behind_the_odds_is_shown(demo: Browser) -> None:
    page = demo.get(f"/duty/{ids(demo)['right piston fit']}/lathe").text
    told = words(page)
    found = witnesses(demo.app.state.desk.read().state)
    count = {key: sum(w.process == key for w in found) for key in ("bore", "turn")}
    assert min(count.values()) > 10
    assert f"shown by {count['bore']} parts" in told
    assert "spindle bearings adjusted" in page
    assert page.count('class="part"') == sum(count.values())


def test_units_follow_the_browser(demo: Browser) -> None:
    demo.post("/settings", {"units": "inch", "back": "/"})
    told = words(demo.get(f"/duty/{ids(demo)['right piston fit']}?full").text)
    assert "1.1807 in" in told or "1.1806 in" in told
    assert "thou diametral clearance" in told


def test_a_changed_spec_is_kept_as_a_new_version(demo: Browser) -> None:
    key = ids(demo)["right piston fit"]
    page = demo.get(f"/duty/{key}").text
    sent = {"drawn_from": hidden(page, "drawn_from"), "key": hidden(page, "key")}
    stated = stated_of(page) | {"boiler_pressure": "3 bar"}
    first = demo.post(f"/duty/{key}/keep", stated | sent)
    again = demo.post(f"/duty/{key}/keep", stated | sent)
    assert (first.status_code, again.status_code) == (303, 303)
    after = demo.then(first).text
    assert 'value="3 bar"' in after
    assert "corrected since" in after
    state = demo.app.state.desk.read().state
    assert len(state._chains[key]) == 2
    assert state.bindings[key].stated["bore"] == "30 mm"


def test_a_stale_form_is_told_so_and_overwrites_nothing(demo: Browser) -> None:
    key = ids(demo)["right piston fit"]
    mine, theirs = (demo.get(f"/duty/{key}").text for _ in range(2))
    kept = {"drawn_from": hidden(theirs, "drawn_from"), "key": hidden(theirs, "key")}
    demo.post(f"/duty/{key}/keep", stated_of(theirs) | kept | {"boiler_pressure": "3 bar"})
    late = {"drawn_from": hidden(mine, "drawn_from"), "key": hidden(mine, "key")}
    typed = stated_of(mine) | late | {"boiler_pressure": "6 bar"}
    answer = demo.post(f"/duty/{key}/keep", typed)
    assert answer.status_code == 409
    assert "boiler pressure 3 bar 6 bar" in words(answer.text)
    assert 'value="6 bar"' in answer.text
    binding = demo.app.state.desk.read().state.bindings[key]
    assert binding.stated["boiler_pressure"] == "3 bar"
    settled = typed | {"drawn_from": hidden(answer.text, "drawn_from")}
    assert demo.post(f"/duty/{key}/keep", settled).status_code == 303


def test_what_another_program_writes_is_seen(demo: Browser) -> None:
    desk = demo.app.state.desk
    with Book.open(desk.path, who="Ben") as other:
        other.enter("engine", {"name": "Wren"})
    assert "Wren" in demo.get("/").text


def test_a_size_is_entered_once_and_an_unlikely_one_is_questioned(demo: Browser) -> None:
    piece = ids(demo)["right piston"]
    address = f"/measure/{piece}/piston"
    key = hidden(demo.get(address).text, "key")
    typed = {"key": key, "size": "28.989", "aim": "29.989", "unit": "mm", "cut": "first"}
    asked = demo.post(address, typed)
    assert asked.status_code == 409
    assert "Is that right?" in asked.text
    assert 'value="28.989"' in asked.text
    right = typed | {"size": "29.988"}
    assert demo.post(address, right).status_code == 303
    assert demo.post(address, right).status_code == 303
    sizes = demo.app.state.desk.read().state.sizes_of(piece, "piston")
    assert [size.record.body["stated"]["size"] for size in sizes] == ["29.988 mm"]


def test_a_bare_size_is_taken_in_the_unit_that_was_chosen(demo: Browser) -> None:
    piece = ids(demo)["right piston"]
    typed = {"size": "1.1807", "aim": "1.1807", "unit": "in", "cut": "first"}
    assert demo.post(f"/measure/{piece}/piston", typed).status_code == 303
    (size,) = demo.app.state.desk.read().state.sizes_of(piece, "piston")
    assert size.value == pytest.approx(1.1807 * 25.4e-3, rel=1e-12)


def test_a_new_duty_brings_its_parts_and_pieces_and_can_be_undone(nothing: Browser) -> None:
    nothing.post("/first", {"begin": "own", "workshop": "Ada's"})
    nothing.post("/enter/engine", {"name": "Wren", "boiler_pressure": "80 psi"})
    stated = {"bore": "1 in", "land_length": "0.8 in", "stroke": "1.5 in"}
    stated |= {"bore_material": "gunmetal", "piston_material": "gunmetal"}
    asked = nothing.post("/quick/piston-fit/give", stated)
    assert asked.status_code == 200
    roles = {
        "give": "yes",
        "key": hidden(asked.text, "key"),
        "duty_name": "left piston fit",
        "new.bore": "left cylinder",
        "new.piston": "left piston",
        "group": "cylinders and motion",
    }
    lacking = nothing.post("/quick/piston-fit/give", stated | roles | {"new.piston": ""})
    assert lacking.status_code == 409
    assert "choose a piece, or name a new one" in lacking.text.lower()
    given = nothing.post("/quick/piston-fit/give", stated | roles)
    nothing.post("/quick/piston-fit/give", stated | roles)
    assert "25.4 mm (1 in)" in nothing.then(given).text
    names = ids(nothing)
    assert {"cylinder", "piston", "left cylinder", "left piston", "left piston fit"} <= set(names)
    copy = nothing.get(f"/duty/{names['left piston fit']}/copy").text
    assert 'value="right cylinder"' in copy
    nothing.post("/undo")
    assert "left piston fit" not in ids(nothing)
    assert "left cylinder" not in ids(nothing)


def test_the_other_side_in_one_step(demo: Browser) -> None:
    names = ids(demo)
    demo.post(f"/strike/{names['right piston fit']}", {"why": "to make it anew"})
    address = f"/duty/{names['left piston fit']}/copy"
    page = demo.get(address).text
    assert 'value="right piston fit"' in page
    typed = {
        "key": hidden(page, "key"),
        "duty_name": "right piston fit",
        "piece.bore": names["right cylinder"],
        "piece.piston": names["right piston"],
    }
    assert demo.post(address, typed).status_code == 303
    binding = demo.app.state.desk.read().state.bindings[ids(demo)["right piston fit"]]
    assert binding.roles == {"bore": names["right cylinder"], "piston": names["right piston"]}


def test_striking_out_asks_why_and_undoing_is_striking_out(demo: Browser) -> None:
    piece = ids(demo)["left piston"]
    note = demo.post("/enter/note", {"about": piece, "text": "scored", "when": "2026-03-01"})
    page = demo.then(note).text
    assert "scored" in page
    found = re.search(r'href="/strike/([0-9a-f]+)"', page)
    assert found
    assert demo.post(f"/strike/{found[1]}", {"why": " "}).status_code == 409
    demo.post("/undo")
    assert "undone by who entered it" in demo.get(f"/piece/{piece}").text
    other = Browser(demo.app)
    before = len(demo.app.state.desk.read().store.records)
    other.post("/undo")
    other.close()
    assert len(demo.app.state.desk.read().store.records) == before


def test_a_correction_is_of_what_was_shown(demo: Browser) -> None:
    engine = ids(demo)["Dunnock"]
    mine, theirs = (demo.get(f"/correct/{engine}").text for _ in range(2))
    typed = {"name": "Dunnock", "boiler_pressure": "6 bar"}
    done = demo.post(f"/correct/{engine}", typed | {"drawn_from": hidden(theirs, "drawn_from")})
    assert done.status_code == 303
    late = typed | {"boiler_pressure": "4 bar", "drawn_from": hidden(mine, "drawn_from")}
    answer = demo.post(f"/correct/{engine}", late)
    assert answer.status_code == 409
    assert "boiler pressure 6 bar 4 bar" in words(answer.text)


def test_the_search_finds_any_name(demo: Browser) -> None:
    told = words(demo.get("/search", params={"q": "left pis"}).text)
    assert "left piston piece" in told
    assert "left piston fit duty" in told
    assert "right" not in told.split("What has", 1)[1]


def test_what_is_not_there_is_said_so(demo: Browser) -> None:
    for path in ("/duty/x", "/piece/x", "/part/x", "/engine/x", "/quick/x", "/correct/x", "/nope"):
        answer = demo.get(path)
        assert answer.status_code == 404, path
        assert "Not found" in answer.text


def test_units_are_those_of_the_book_unless_a_browser_has_chosen(nothing: Browser) -> None:
    nothing.post("/first", {"begin": "own", "workshop": "Ada's", "units": "inch"})
    chosen = r'value="inch" aria-pressed="true"'
    assert re.search(chosen, nothing.get("/").text)
    nothing.post("/settings", {"units": "metric", "back": "/"})
    assert not re.search(chosen, nothing.get("/").text)
    nothing.post("/settings", {"units": "book", "back": "/"})
    assert re.search(chosen, nothing.get("/").text)
    mended = re.search(r'href="(/correct/[^"]+)"', nothing.get("/settings").text)
    assert mended
    form = nothing.get(mended[1]).text
    typed = {"name": "Ada's", "units": "metric", "key": hidden(form, "key")}
    answer = nothing.post(mended[1], typed | {"drawn_from": hidden(form, "drawn_from")})
    assert answer.headers["location"] == "/settings"
    assert not re.search(chosen, nothing.get("/").text)


def test_a_drawing_is_a_picture(demo: Browser) -> None:
    answer = demo.get(f"/duty/{ids(demo)['right piston fit']}/drawing.svg")
    assert answer.headers["content-type"].startswith("image/svg+xml")
    assert "<title" in answer.text


def stated_of(page: str) -> dict[str, str]:
    """What stands in the boxes and lists of a duty's form."""
    form = page.split('id="must"', 1)[1].split("</form>", 1)[0]
    found = dict(re.findall(r'<input id="f-[^"]+" name="([^"]+)" value="([^"]*)"', form))
    for name, inner in re.findall(
        r'<select id="f-[^"]+" name="([^"]+)".*?>(.*?)</select>', form, re.DOTALL
    ):
        chosen = re.search(r"<option selected>([^<]*)", inner)
        found[name] = chosen[1] if chosen else ""
    return found
