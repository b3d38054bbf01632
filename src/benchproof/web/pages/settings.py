"""How this browser is answered: measuring system, and the name beside what is entered."""

from __future__ import annotations

from urllib.parse import quote

from starlette.responses import Response

from benchproof.web.asking import YEAR, Asked, gone_to, name_of, page
from benchproof.web.showing import shown


def settings(asked: Asked) -> Response:
    """Show and take settings; they are kept in this browser alone."""
    if not asked.posted:
        workshops = asked.desk.read().state.of("workshop") if asked.desk.has_book else []
        return shown(
            asked,
            "settings.html",
            path=asked.desk.path,
            workshop=workshops[0] if workshops else None,
            of_the_book=asked.desk.units,
        )
    back = asked.typed.get("back", "")
    response = gone_to(back if _is_ours(back) else "/settings", done="Done.")
    units = asked.typed.get("units", "")
    if units in {"metric", "inch"}:
        response.set_cookie("units", units, max_age=YEAR, samesite="strict", httponly=True)
    elif units == "book":
        response.delete_cookie("units")
    if "who" in asked.typed:
        name = quote(name_of(quote(asked.typed["who"])))
        response.set_cookie("who", name, max_age=YEAR, samesite="strict", httponly=True)
    return response


def _is_ours(address: str) -> bool:
    """Whether an address to go back to is a page of ours and nothing else."""
    plain = all(letter.isalnum() or letter in "/-_?=&%." for letter in address)
    return address.startswith("/") and not address.startswith("//") and address.isascii() and plain


ROUTES = (page("/settings", settings, "GET", "POST"),)
