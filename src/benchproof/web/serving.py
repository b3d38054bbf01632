"""Serve the app: on this machine alone, or to the workshop's network when that is asked for."""

from __future__ import annotations

import errno
import logging
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from benchproof.book.errors import BookError
from benchproof.web.app import create_app

LOOPBACK = "127.0.0.1"
EVERYWHERE = "0.0.0.0"


def serve(
    path: Path,
    *,
    who: str,
    lan: bool,
    port: int,
    browser: bool,
    say: Callable[[str], None],
) -> None:
    """Serve until stopped. What goes wrong is logged to the standard error, without contents."""
    logging.basicConfig(stream=sys.stderr, level=logging.WARNING, format="%(message)s")
    ours = own_address() if lan else None
    held = listening(EVERYWHERE if lan else LOOPBACK, port)
    port = held.getsockname()[1]
    here = f"http://{LOOPBACK}:{port}"
    addresses = (f"http://{ours}:{port}",) if ours else ()
    app = create_app(path, who=who, lan=lan, hosts=[ours] if ours else [], addresses=addresses)
    say(f"On this machine: {here}\n")
    if lan:
        say(_invitation(addresses, app.state.pairing.code, here))
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_keep_alive=30,
        h11_max_incomplete_event_size=64 * 1024,
        timeout_graceful_shutdown=3,
    )
    if browser:
        threading.Timer(0.5, webbrowser.open, [here]).start()
    uvicorn.Server(config).run(sockets=[held])


def listening(host: str, port: int) -> socket.socket:
    """A socket on the port, or on any other where that one is taken."""
    for wanted in (port, 0):
        held = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            held.bind((host, wanted))
        except OSError as taken:
            held.close()
            if taken.errno not in {errno.EADDRINUSE, errno.EACCES} or wanted == 0:
                raise BookError(f"cannot serve on {host}: {taken.strerror}") from taken
            continue
        return held
    raise AssertionError("a port is always found, or refused")


def own_address() -> str | None:
    """The address of this machine on its network; None where it has none. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Connecting a datagram socket only asks which way it would go; 192.0.2.0/24 is
            # kept for examples (RFC 5737) and never answers.
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return None
        found = probe.getsockname()[0]
    return None if found.startswith(("127.", "0.")) else str(found)


def _invitation(addresses: tuple[str, ...], code: str, here: str) -> str:
    if not addresses:
        return (
            "This machine has no address on a network, so that no tablet can reach it. The code "
            f"is {code}; see {here}/tablets\n"
        )
    import io

    import segno

    out = io.StringIO()
    segno.make(f"{addresses[0]}/pair?code={code}", micro=False).terminal(out, compact=True)
    return (
        f"On a tablet: {addresses[0]}/pair\nCode: {code[:3]} {code[3:]} (once, within ten "
        f"minutes)\n{out.getvalue()}What goes over the network is not encrypted.\n"
    )
