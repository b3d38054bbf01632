"""Sizes at the bench: many pieces on one page, each entered once, none swallowed."""

from __future__ import annotations

import pytest

from benchproof.book.state import Size
from web.screens import Browser, hidden, ids, words


def sizes_of(demo: Browser, piece: str) -> list[Size]:
    """Sizes of a piston in the book."""
    return list(demo.app.state.desk.read().state.sizes_of(ids(demo)[piece], "piston"))


def typed(demo: Browser, **sizes: str) -> dict[str, str]:
    """A form with a size for each piece named; ``left`` is the left piston."""
    page = demo.get(f"/part/{ids(demo)['piston']}/sizes").text
    found = {"unit": "mm", "cut": "first", "when": "2026-03-01"}
    for side, size in sizes.items():
        path = f"{ids(demo)[f'{side} piston']}.piston"
        found |= {f"size.{path}": size, f"aim.{path}": "29.98"}
        found[f"key.{path}"] = hidden(page, f"key.{path}")
    return found


def test_every_size_of_a_part_is_entered_once(demo: Browser) -> None:
    before = len(sizes_of(demo, "left piston"))
    form = typed(demo, left="29.979", right="29.981")
    form |= {"part_temperature": "25 C", "room_temperature": "19 C"}
    address = f"/part/{ids(demo)['piston']}/sizes"
    assert demo.post(address, form).status_code == 303
    assert demo.post(address, form).status_code == 303
    assert len(sizes_of(demo, "left piston")) == before + 1
    (right,) = sizes_of(demo, "right piston")
    assert right.record.body["stated"] == {"size": "29.981 mm", "aim": "29.98 mm", "u": None}
    assert right.value < 29.981e-3 - 1e-6  # warm when it was measured


def test_what_is_in_order_is_entered_and_what_is_not_is_questioned(demo: Browser) -> None:
    address = f"/part/{ids(demo)['piston']}/sizes"
    form = typed(demo, left="29.979", right="28.9")
    answer = demo.post(address, form)
    assert answer.status_code == 409
    assert "Is that right?" in words(answer.text)
    assert 'value="28.9"' in answer.text
    assert "Entered: piston of left piston, 29.979 mm" in words(answer.text)
    assert sizes_of(demo, "right piston") == []
    sure = form | {f"sure.{ids(demo)['right piston']}.piston": "yes"}
    assert demo.post(address, sure).status_code == 303
    assert len(sizes_of(demo, "right piston")) == 1


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("instrument", "banana", "knows no such instrument"),
        ("part_temperature", "900 C", "temperature of the part"),
        ("when", "yesterday", "is no day"),
    ],
)
def test_what_stands_for_all_is_refused_where_it_stands(
    demo: Browser, name: str, text: str, told: str
) -> None:
    answer = demo.post(
        f"/part/{ids(demo)['piston']}/sizes", typed(demo, right="29.98") | {name: text}
    )
    assert answer.status_code == 409
    notes = answer.text.split(f'id="{name}-notes"', 1)[1].split("</div>", 1)[0]
    assert told in words(f"<{notes}") or 'class="wrong"' in notes
    assert 'value="29.98"' in answer.text
    assert sizes_of(demo, "right piston") == []


def test_a_size_that_cannot_be_read_stays_in_its_row(demo: Browser) -> None:
    answer = demo.post(f"/part/{ids(demo)['piston']}/sizes", typed(demo, right="thirty"))
    assert answer.status_code == 409
    assert 'value="thirty"' in answer.text
    assert 'class="line is-open"' in answer.text


def test_a_script_is_told_where_to_go_next(demo: Browser) -> None:
    form = typed(demo, right="29.981")
    headers = {"origin": demo.base, "sent-by": "script"}
    answer = demo.ask("POST", f"/part/{ids(demo)['piston']}/sizes", data=form, headers=headers)
    assert answer.status_code == 200
    assert answer.json()["done"] == "Entered: piston of right piston, 29.981 mm"
    assert answer.json()["next"] == f"/part/{ids(demo)['piston']}/sizes"
