"""Whoever has no business here is refused; addresses of this machine to itself alone."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from benchproof.web.pairing import CODE_LIVES, MOST_GUESSES, Pairing
from benchproof.web.security import LARGEST_FORM
from web.screens import Browser, browsing, demo_book, ids, words

TABLET = "127.0.0.3"


def test_a_name_that_is_not_ours_is_refused(demo: Browser) -> None:
    for host in ("evil.example", "127.0.0.1.evil.example", "", "[", "localhost.evil:80"):
        answer = demo.get("/", headers={"host": host})
        assert answer.status_code == 421, host
        assert "Dunnock" not in answer.text


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8765", "localhost:1", "[::1]:9"])
def test_names_of_this_machine_are_taken(demo: Browser, host: str) -> None:
    assert demo.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "https://127.0.0.1.evil.example"},
        {"origin": "http://127.0.0.1:81"},
        {"origin": "http://["},
        {"sec-fetch-site": "cross-site"},
        {},
    ],
)
def test_a_form_of_another_site_is_refused(demo: Browser, headers: dict[str, str]) -> None:
    before = len(demo.app.state.desk.read().store.records)
    answer = demo.ask("POST", "/enter/engine", data={"name": "Wren"}, headers=headers)
    assert answer.status_code == 403
    assert len(demo.app.state.desk.read().store.records) == before


def test_our_own_form_is_taken(demo: Browser) -> None:
    assert demo.post("/enter/engine", {"name": "Wren"}).status_code == 303


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/..%2fapp.py",
        "/static/%2e%2e/app.py",
        "/static/....//app.py",
        "/static//etc/passwd",
        "/static/%2fetc%2fpasswd",
        "/static/..\\app.py",
        "/static/%00",
    ],
)
def test_no_path_leads_out_of_the_shipped_files(demo: Browser, path: str) -> None:
    answer = demo.get(path)
    assert answer.status_code in {400, 404}
    assert "create_app" not in answer.text
    assert "root:" not in answer.text


def test_more_than_a_form_needs_is_refused_unread(demo: Browser) -> None:
    for headers in (
        {"content-length": str(LARGEST_FORM + 1)},
        {"content-length": "9" * 40},
        {"content-length": "minus"},
    ):
        answer = demo.ask("POST", "/enter/engine", headers={"origin": demo.base, **headers})
        assert answer.status_code == 413


def test_a_body_longer_than_it_says_is_cut_off(demo: Browser) -> None:
    async def endless() -> AsyncIterator[bytes]:
        for _ in range(LARGEST_FORM // 65536 + 2):
            yield b"&name=" + b"a" * 65530

    answer = demo.ask(
        "POST",
        "/enter/engine",
        content=endless(),
        headers={
            "origin": demo.base,
            "content-type": "application/x-www-form-urlencoded",
        },
    )
    assert answer.status_code == 413


def test_files_are_not_taken_where_none_are_asked_for(demo: Browser) -> None:
    answer = demo.ask(
        "POST",
        "/enter/engine",
        files={"name": ("x.exe", b"MZ")},
        headers={"origin": demo.base},
    )
    assert answer.status_code == 400


def test_pages_may_load_nothing_from_elsewhere(demo: Browser) -> None:
    for path in ("/", "/quick/piston-fit", "/static/page.js", "/nothing"):
        headers = demo.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"


def test_no_page_has_script_or_style_within(demo: Browser) -> None:
    duty = ids(demo)["right piston fit"]
    for path in ("/", f"/duty/{duty}", "/quick/taper-cock", "/history", "/tablets"):
        page = demo.get(path).text
        assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", page)
        assert not re.search(r"(?:src|href|action)=\"(?:https?:)?//", page)


def test_the_network_is_not_let_in_unless_asked_for(tmp_path: Path) -> None:
    with browsing(demo_book(tmp_path), at=TABLET) as tablet:
        assert tablet.get("/").status_code == 403
        assert tablet.get("/pair").status_code == 403


def test_an_unpaired_tablet_sees_the_page_for_pairing_and_nothing_else(tmp_path: Path) -> None:
    with browsing(demo_book(tmp_path), at=TABLET, lan=True) as tablet:
        key = ids(tablet)["left piston fit"]
        for path in ("/", f"/duty/{key}", "/history", "/tablets", "/settings", "/pair/x"):
            answer = tablet.get(path)
            assert answer.status_code == 303
            assert answer.headers["location"] == "/pair"
            assert answer.text == ""
        assert tablet.post("/enter/engine", {"name": "Wren"}).status_code == 303
        assert "Wren" not in ids(tablet)
        shown = tablet.get("/pair")
        assert shown.status_code == 200
        assert "Dunnock" not in shown.text
        assert "left piston" not in shown.text
        assert tablet.get("/static/nothing-there").status_code == 404


def test_a_code_pairs_once_and_a_session_can_be_revoked(tmp_path: Path) -> None:
    with browsing(demo_book(tmp_path), at=TABLET, lan=True) as tablet:
        desk = Browser(tablet.app)
        shown = words(desk.get("/tablets").text)
        code = "".join(re.findall(r"\b(\d{3}) (\d{3})\b", shown)[0])
        paired = tablet.post("/pair", {"code": code, "name": "Bench <b>"})
        assert "HttpOnly" in paired.headers["set-cookie"]
        assert "samesite=strict" in paired.headers["set-cookie"].lower()
        assert "Dunnock" in tablet.then(paired).text
        other = Browser(tablet.app, at="127.0.0.4")
        assert other.post("/pair", {"code": code}).status_code == 403
        assert tablet.get("/tablets").status_code == 404
        page = desk.get("/tablets").text
        assert "Bench &lt;b&gt;" in page
        found = re.search(r'name="revoke" value="([0-9a-f]+)"', page)
        assert found
        assert desk.post("/tablets/change", {"revoke": found[1]}).status_code == 303
        assert tablet.get("/").status_code == 303
        for browser in (desk, other):
            browser.close()


def test_who_comes_by_the_networks_name_is_of_the_network(tmp_path: Path) -> None:
    with browsing(demo_book(tmp_path), lan=True, hosts=["127.0.0.2"]) as browser:
        assert browser.get("/", headers={"host": "127.0.0.2"}).headers["location"] == "/pair"
        assert browser.get("/").status_code == 200


def test_a_forged_session_is_none(tmp_path: Path) -> None:
    with browsing(demo_book(tmp_path), at=TABLET, lan=True) as tablet:
        for forged in ("", "x", "a" * 43):
            answer = tablet.get("/", headers={"cookie": f"paired={forged}; browser={'0' * 32}"})
            assert answer.status_code == 303


def test_guessing_codes_ends_the_code(tmp_path: Path) -> None:
    with browsing(demo_book(tmp_path), at=TABLET, lan=True) as tablet:
        pairing: Pairing = tablet.app.state.pairing
        code = pairing.code
        wrong = f"{(int(code) + 1) % 10**6:06}"
        for _ in range(MOST_GUESSES):
            assert tablet.post("/pair", {"code": wrong}).status_code == 403
        assert tablet.post("/pair", {"code": code}).status_code == 403
        assert pairing.code == ""
        assert tablet.post("/tablets/change").status_code == 303  # to the page for pairing
        assert pairing.code == ""


def test_a_code_grows_old() -> None:
    time = [0.0]
    pairing = Pairing(clock=lambda: time[0])
    code = pairing.code
    time[0] = CODE_LIVES + 1.0
    assert pairing.pair(code, "late", "127.0.0.9") is None
    assert pairing.code == ""
    fresh = pairing.new_code()
    assert pairing.pair(f" {fresh[:3]}-{fresh[3:]} ", "in time", "127.0.0.9") is not None


def test_where_to_go_back_to_is_a_page_of_ours(demo: Browser) -> None:
    for back in ("//evil.example", "https://evil.example", "/\\evil.example", "/a\r\nb: c"):
        answer = demo.post("/settings", {"units": "inch", "back": back})
        assert answer.headers["location"] == "/settings"


def test_what_is_typed_is_shown_as_text(demo: Browser) -> None:
    nasty = "<script>alert(1)</script>"
    engine = demo.then(demo.post("/enter/engine", {"name": nasty}))
    assert nasty not in engine.text
    assert "&lt;script&gt;" in engine.text
    assert nasty not in demo.get("/search", params={"q": nasty}).text


def test_the_log_says_nothing_of_what_was_typed(
    demo: Browser, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("secret of the builder")

    monkeypatch.setattr("benchproof.web.pages.entries.nested", broken)
    answer = demo.post("/enter/engine", {"name": "Heron", "note": "typed with care"})
    assert answer.status_code == 500
    assert "typed with care" in answer.text
    assert "Traceback" not in answer.text
    assert "RuntimeError at" in caplog.text
    assert "secret" not in caplog.text
    assert "Heron" not in caplog.text
