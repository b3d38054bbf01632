"""Pairing a tablet: the code and who is paired on this machine; where to type it on the tablet."""

from __future__ import annotations

import io
from datetime import datetime

from markupsafe import Markup
from starlette.responses import Response

from benchproof.web.asking import Asked, gone_to, missing, name_of, page
from benchproof.web.pairing import COOKIE, SESSION_LIVES, Pairing
from benchproof.web.showing import shown


def tablets(asked: Asked) -> Response:
    """On the machine of the book: the code with its QR, and the browsers that are paired."""
    if not asked.local:
        raise missing("page")
    pairing = _pairing(asked)
    if pairing is None:
        return shown(asked, "tablets.html", on=False, code="", ways=[], sessions=[])
    code = pairing.code
    ways = [(f"{address}/pair", qr(f"{address}/pair?code={code}")) for address in pairing.addresses]
    sessions = [
        (s.id, s.name, s.address, f"{datetime.fromtimestamp(s.since):%Y-%m-%d %H:%M}")
        for s in pairing.sessions()
    ]
    return shown(asked, "tablets.html", on=True, code=code, ways=ways, sessions=sessions)


def change(asked: Asked) -> Response:
    """Make a new code, or let a browser see nothing any more."""
    pairing = _pairing(asked)
    if not asked.local or pairing is None:
        raise missing("page")
    if "revoke" in asked.typed:
        pairing.revoke(asked.typed["revoke"])
        return gone_to("/tablets", done="It sees nothing any more.")
    pairing.new_code()
    return gone_to("/tablets")


def pair(asked: Asked) -> Response:
    """On the tablet: type the code."""
    pairing = _pairing(asked)
    if pairing is None:
        raise missing("page")
    wrong = ""
    if asked.posted:
        client = asked.request.client
        name = name_of(asked.typed.get("name", ""))
        secret = pairing.pair(asked.typed.get("code", ""), name, client.host if client else "")
        if secret is not None:
            response = gone_to("/")
            response.set_cookie(
                COOKIE, secret, max_age=int(SESSION_LIVES), samesite="strict", httponly=True
            )
            return response
        wrong = (
            "That is not the code, or it has been used, or it is too old. The machine with the "
            "book shows the one that counts, under Tablets, and makes new ones."
        )
    return shown(
        asked,
        "pair.html",
        403 if wrong else 200,
        wrong=wrong,
        code=asked.query.get("code", "")[:12],
    )


def qr(text: str) -> Markup:
    """A QR code as a picture in the page."""
    import segno

    out = io.BytesIO()
    look = {"border": 4, "dark": "#000", "light": "#fff"}  # readers want it dark on light
    segno.make(text, micro=False).save(out, kind="svg", xmldecl=False, omitsize=True, **look)
    return Markup(out.getvalue().decode())


def _pairing(asked: Asked) -> Pairing | None:
    found: Pairing | None = asked.request.app.state.pairing
    return found


ROUTES = (
    page("/tablets", tablets),
    page("/tablets/change", change, "POST"),
    page("/pair", pair, "GET", "POST"),
)
