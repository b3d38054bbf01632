"""A server killed at random while four clients enter readings; afterwards the book is counted.

A test kills it some twenty times; more with ``python -m web.killing 500`` from the folder of tests.
"""

from __future__ import annotations

import json
import multiprocessing
import random
import socket
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.request
from dataclasses import dataclass, field
from http.client import HTTPException
from pathlib import Path
from urllib.parse import urlencode

from benchproof.book.model import Book
from benchproof.book.records import new_id
from benchproof.book.store import Store
from benchproof.web.app import create_app

CLIENTS = 4
LONGEST_LIFE = 0.5  # s from its start until a server is killed
PATIENCE = 5.0  # s a client waits for an answer


@dataclass
class Client:
    """One tablet: what it has sent, in order, and what was acknowledged."""

    number: int
    piece: str
    lot: str
    sent: list[str] = field(default_factory=list)
    acknowledged: list[str] = field(default_factory=list)
    tries: int = 0


def serve(path: Path, port: int) -> None:
    """Serve a book until killed."""
    import uvicorn

    held = socket.socket()
    held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    held.bind(("127.0.0.1", port))
    config = uvicorn.Config(create_app(path), log_level="critical", access_log=False, ws="none")
    uvicorn.Server(config).run(sockets=[held])


def book_with_pieces(path: Path) -> tuple[list[str], list[str]]:
    """A small book: pieces to measure and lots to read, one of each for every client."""
    limits = {"wanted": "5", "lower": "7.9 mm", "upper": "8.1 mm"}
    with Book.create(path, {"name": "Workshop"}) as book:
        engine = book.enter("engine", {"name": "Wren"}).id
        part = book.enter("part", {"name": "pin"}, subject=engine).id
        return (
            [
                book.enter("piece", {"name": f"no. {n}"}, subject=part).id
                for n in range(1, CLIENTS + 1)
            ],
            [
                book.enter("lot", {"name": f"lot {n}", **limits}, subject=part).id
                for n in range(1, CLIENTS + 1)
            ],
        )


def enter(client: Client, base: str, ending: threading.Event) -> None:
    """Enter one reading after the other; one that is not acknowledged is sent again."""
    while not ending.is_set():
        key, place = new_id(), len(client.sent) + 1
        client.sent.append(key)
        if place % 2:
            address = f"/measure/{client.piece}/diameter"
            typed = {"size": f"{8 + 1e-4 * place:.4f}", "unit": "mm", "cut": "first"}
        else:
            address = f"/lot/{client.lot}"
            typed = {"number": str(place // 2), "size": f"{8 + 1e-5 * place:.5f}", "unit": "mm"}
            typed["stop"] = "8 mm"
        body = urlencode(typed | {"key": key}).encode()
        headers = {"Origin": base, "Sent-By": "script"}
        while not ending.is_set():
            client.tries += 1
            try:
                request = urllib.request.Request(base + address, body, headers)
                with urllib.request.urlopen(request, timeout=PATIENCE) as answer:
                    assert json.load(answer)["done"]
                client.acknowledged.append(key)
                break
            except urllib.error.HTTPError as refused:
                raise AssertionError(f"{refused.code}: {refused.read()[:400]!r}") from refused
            except (OSError, ValueError, HTTPException):
                time.sleep(0.01)


def kill(path: Path, times: int, seed: int) -> list[Client]:
    """Kill the server so often under the load of all clients; what they sent and heard."""
    pieces, lots = book_with_pieces(path)
    clients = [Client(n, pieces[n], lots[n]) for n in range(CLIENTS)]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["benchproof.web.app", "uvicorn"])
    ending, chance = threading.Event(), random.Random(seed)
    base = f"http://127.0.0.1:{port}"
    threads = [threading.Thread(target=enter, args=(c, base, ending)) for c in clients]
    for thread in threads:
        thread.start()
    try:
        for _ in range(times):
            server = context.Process(target=serve, args=(path, port), daemon=True)
            server.start()
            _wait_for(port)
            time.sleep(chance.uniform(0.0, LONGEST_LIFE))
            server.kill()
            server.join()
    finally:
        ending.set()
        for thread in threads:
            thread.join()
    return clients


def _wait_for(port: int) -> None:
    for _ in range(1000):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.01)
    raise AssertionError("the server did not come up")


def lost_or_doubled(path: Path, clients: list[Client]) -> list[str]:
    """What is wrong with the book after all that, in words; nothing when all is well."""
    with Store.open(path) as store:
        readings = [r.id for r in store.records if r.kind in {"size", "lot reading"}]
    found = [f"{key} is there twice" for key in set(readings) if readings.count(key) > 1]
    known = set(readings)
    for client in clients:
        found += [f"{key} is lost" for key in client.acknowledged if key not in known]
        # At most the last one was never acknowledged; all stand in the order they were sent.
        own = [key for key in readings if key in set(client.sent)]
        if own != client.sent[: len(own)] or len(client.sent) - len(client.acknowledged) > 1:
            found.append(f"client {client.number} stands in another order than it was sent")
    strangers = known - {key for client in clients for key in client.sent}
    return found + [f"nobody sent {key}" for key in strangers]


def main(times: int, seed: int) -> int:
    """Kill so often, and say what came of it."""
    began = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "killed.book")
        clients = kill(path, times, seed)
        wrong = lost_or_doubled(path, clients)
    told = sum(len(client.acknowledged) for client in clients)
    tries = sum(client.tries for client in clients)
    took = time.perf_counter() - began
    sys.stdout.write(f"{times} kills in {took:.0f} s: {told} acknowledged of {tries} tries\n")
    sys.stdout.writelines(f"{line}\n" for line in wrong[:20])
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1))
