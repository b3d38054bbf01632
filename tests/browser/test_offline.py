"""The connection goes and comes back: nothing is lost, nothing is entered twice, all in order."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Error, FilePayload, Locator, Page, Route, expect

from browser.journeys import Served, visiting
from web.test_photographs import png


def waiting_on(page: Page) -> Locator:
    """What the page says of entries that wait."""
    return page.get_by_role("region", name="Waiting to be sent")


def reload_in_vain(page: Page) -> None:
    """What somebody does whose page does not answer: the browser shows its own page for it."""
    with pytest.raises(Error, match="ERR_INTERNET_DISCONNECTED"):
        page.reload()


def picture(name: str, size: int) -> FilePayload:
    """A photograph as a tablet's camera hands it over."""
    return {"name": name, "mimeType": "image/png", "buffer": png(size)}


def test_the_connection_goes_and_comes_back(chromium: Browser, served: Served) -> None:
    with visiting(chromium, served.base) as visit:
        page = visit.page(f"/lot/{served.names['ferrules']}")
        size = page.get_by_label("what the gauge says")
        size.focus()
        page.keyboard.type("7.993")
        visit.context.set_offline(True)
        page.keyboard.press("Enter")
        waiting = waiting_on(page)
        expect(waiting).to_contain_text("1 waiting to be sent")
        expect(waiting).to_contain_text("Leave this page open")
        for number in ("7.994", "79.91", "7.992"):
            page.keyboard.type(number)
            page.keyboard.press("Enter")
        expect(waiting).to_contain_text("4 waiting to be sent")
        expect(waiting).to_contain_text("piece 25, 79.91")
        assert len(served.state.lot_readings(served.names["ferrules"])) == 22
        visit.context.set_offline(False)
        # Three are entered in their order; the slip of the pen stays, with why.
        expect(waiting).to_contain_text("1 not entered")
        expect(waiting).to_contain_text("more than a millimetre outside")
        expect(waiting).not_to_contain_text("waiting to be sent")
        expect(page.get_by_text("Sent, and in the book now")).to_contain_text("piece 26, 7.992")
        held = served.state.lot_readings(served.names["ferrules"])
        assert [n for n in sorted(held) if n > 22] == [23, 24, 26]
        added = [r.body["number"] for r in served.app.state.desk.read().store.records[-3:]]
        assert added == [23, 24, 26]
        page.reload()
        expect(waiting).to_contain_text("1 not entered")
        waiting.get_by_role("button", name="Mend it").tap()
        expect(page.get_by_text("Is that right?", exact=True)).to_be_visible()
        expect(size).to_have_value("79.91")
        size.fill("7.991")
        page.get_by_role("button", name="Enter it").tap()
        expect(page.get_by_text("Piece 26: accept")).to_be_visible()
        expect(waiting).to_have_count(0)
        assert 25 in served.state.lot_readings(served.names["ferrules"])


def test_an_answer_that_never_came_enters_nothing_twice(chromium: Browser, served: Served) -> None:
    part, piece = served.names["piston"], served.names["right piston"]
    with visiting(chromium, served.base) as visit:
        page = visit.page(f"/part/{part}/sizes")
        taken: list[object] = []

        def lose(route: Route) -> None:
            """The server takes it, and the answer is lost on its way."""
            taken.append(route.fetch())
            route.abort("internetdisconnected")

        page.route("**/sizes", lose, times=1)
        field = page.locator(f'[name="size.{piece}.piston"]')
        field.fill("29.981")
        field.press("Enter")
        waiting = waiting_on(page)
        expect(waiting).to_contain_text("piston of right piston: 29.981")
        for _ in range(400):  # what waits is listed before it is sent
            if taken:
                break
            page.wait_for_timeout(50)
        assert len(served.state.sizes_of(piece, "piston")) == 1
        expect(waiting).to_have_count(0, timeout=20000)
        assert len(served.state.sizes_of(piece, "piston")) == 1


def test_a_bench_test_by_keyboard_alone_while_the_server_is_away(
    chromium: Browser, served: Served
) -> None:
    with visiting(chromium, served.base) as visit:
        page = visit.page(f"/duty/{served.names['left piston fit']}/test/drop-test?as_before")
        page.locator("#f-reading-0-posture").focus()
        page.keyboard.type("upright")
        page.keyboard.press("Tab")
        page.keyboard.type("2 min 4 s")
        visit.context.set_offline(True)
        button = page.get_by_role("button", name="Enter the test")
        for _ in range(40):
            page.keyboard.press("Tab")
            if button.evaluate("each => each === document.activeElement"):
                break
        page.keyboard.press("Enter")
        waiting = waiting_on(page)
        expect(waiting).to_contain_text("Drop test on plate glass of left piston fit: ")
        visit.context.set_offline(False)
        page.wait_for_url("**/test/*", timeout=20000)
        expect(page.get_by_role("status").first).to_contain_text("Entered: Drop test")
    assert len(served.state.tests_of(served.names["left piston fit"])) == 2


def test_photographs_and_notes_wait_in_their_order(chromium: Browser, served: Served) -> None:
    piece = served.names["left piston"]
    before = len(served.app.state.desk.read().store.records)
    with visiting(chromium, served.base) as visit:
        photo, note = visit.page(f"/photo?about={piece}"), visit.page(f"/enter/note?about={piece}")
        visit.context.set_offline(True)
        for name, size in (("IMG_1.png", 32), ("IMG_2.png", 48)):
            photo.get_by_label("the picture").set_input_files(picture(name, size))
            photo.get_by_label("what it shows").fill(f"the skirt, {name}")
            photo.get_by_role("button", name="Keep it").tap()
            expect(waiting_on(photo)).to_contain_text(f"the skirt, {name}, {name}")
            expect(photo.get_by_label("what it shows")).to_have_value("")
        note.get_by_label("note").fill("a score along the land")
        note.get_by_role("button", name="Enter it").tap()
        expect(waiting_on(note)).to_contain_text("3 waiting to be sent")
        assert served.app.state.desk.read().store.records[before:] == []
        reload_in_vain(photo)
        reload_in_vain(note)
        visit.context.set_offline(False)
        # Any page of the book sends what waits; nothing needs to be typed or chosen again.
        photo.goto(f"{served.base}/piece/{piece}")
        expect(photo.get_by_role("heading", name="left piston", exact=True)).to_be_visible()
        expect(waiting_on(photo)).to_have_count(0)
        photo.reload()
        expect(photo.locator(".album img")).to_have_count(2)
    records = served.app.state.desk.read().store.records[before:]
    assert [record.kind for record in records] == ["attachment", "attachment", "note"]
    assert [record.body.get("name") for record in records[:2]] == ["IMG_1.png", "IMG_2.png"]
    contents = [served.app.state.desk.content(r.body["sha256"]) for r in records[:2]]
    assert contents == [png(32), png(48)]


def test_what_was_typed_when_the_page_went_is_brought_back(
    chromium: Browser, served: Served
) -> None:
    duty = served.names["left piston fit"]
    with visiting(chromium, served.base) as visit:
        page = visit.page(f"/duty/{duty}/test/drop-test?as_before")
        visit.context.set_offline(True)
        times = ["2 min 4 s", "2 min 2 s", "2 min 3 s"]
        page.locator("#f-reading-0-posture").select_option("upright")
        page.locator("#f-reading-0-time").focus()
        for time in times:
            page.keyboard.type(time)
            page.keyboard.press("Enter")
        reload_in_vain(page)
        visit.context.set_offline(False)
        page.goto(f"{served.base}/duty/{duty}/test/drop-test?as_before")
        page.get_by_role("button", name="Bring it back").tap()
        for place, time in enumerate(times):
            expect(page.locator(f"#f-reading-{place}-time")).to_have_value(time)
            expect(page.locator(f"#f-reading-{place}-posture")).to_have_value("upright")
        page.get_by_role("button", name="Enter the test").tap()
        expect(page.get_by_role("status").first).to_contain_text("Entered: Drop test")
        page.goto(f"{served.base}/duty/{duty}/test/drop-test?as_before")
        expect(page.locator("#f-reading-0-time")).to_be_visible()
        expect(page.get_by_role("button", name="Bring it back")).to_have_count(0)
    tests = served.state.tests_of(duty)
    assert len(tests) == 2
    assert [reading["time"] for reading in tests[-1].stated["reading"]] == times
