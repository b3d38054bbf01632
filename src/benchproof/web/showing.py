"""Templates, and the words and shapes that all of them share."""

from __future__ import annotations

import json
from datetime import datetime
from functools import lru_cache
from typing import Any
from urllib.parse import unquote

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.responses import HTMLResponse, Response

from benchproof.book.records import new_id
from benchproof.columns import sentence
from benchproof.figures import in_hundred, in_hundreds
from benchproof.specs import Problem
from benchproof.web.asking import Asked

_ABOUT_THE_FIELD = ("is ", "has ", "must ", "contains ", "cannot ", "reads ")
SHAPES = {"planned": "planned", "made": "made", "tested": "tested", "in trouble": "trouble"}
SHAPES |= {"half done": "made"}


@lru_cache(maxsize=1)
def _environment() -> Environment:
    found = Environment(
        loader=PackageLoader("benchproof.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    found.filters |= {
        "sentence": sentence,
        "hundred": in_hundred,
        "moment": moment,
        "heading": lambda text: text[:1].upper() + text[1:],
        "day": lambda at: moment(at)[:10],
        "plain": _plain,
        "said": said,
    }
    found.globals |= {"new_id": new_id, "in_hundreds": in_hundreds, "shape": shape}
    return found


def shown(asked: Asked, template: str, status: int = 200, **values: Any) -> Response:
    """A page, or a part of one, as a response."""
    app = asked.request.app.state
    done = unquote(asked.request.cookies.get("done", ""))
    text = (
        _environment()
        .get_template(template)
        .render(
            asked=asked,
            units=asked.units,
            who=asked.who,
            navigation=app.navigation,
            here=asked.request.url.path,
            done=done if not asked.posted else "",
            undoable=bool(asked.desk.last_entered(asked.browser)),
            lan=app.pairing is not None,
            **values,
        )
    )
    response = HTMLResponse(text, status)
    if done and not asked.posted:
        response.delete_cookie("done")
    return response


def moment(at: str) -> str:
    """When something was entered, in the time of this machine."""
    try:
        return f"{datetime.fromisoformat(at).astimezone():%Y-%m-%d %H:%M}"
    except ValueError:
        return at


def said(problem: Problem) -> str:
    """A problem as sentences that stand by themselves: what is wrong, and what to try."""
    words = problem.message
    if words.startswith(_ABOUT_THE_FIELD):
        words = f"{problem.label.rpartition(': ')[2]} {words}"
    told = sentence(words)
    return f"{told} Try: {problem.example}" if problem.example else told


def shape(state: str) -> Markup:
    """A state as a shape of its own, for those who do not see colours; the word stands beside."""
    name = SHAPES.get(state, "planned")
    return Markup(
        '<svg class="shape {0}" viewBox="0 0 24 24" aria-hidden="true" focusable="false">'
        '<use href="/static/shapes.svg#{0}"/></svg>'
    ).format(name)


def _plain(value: Any) -> str:
    """Plain data for a script, as the text of an attribute."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
