"""How long the list of sessions takes, and whether that grows with the archive.

    python tests/benchmarks/review.py [--sessions 100000] [--home FOLDER] [--requests 200]

Two real servers, one with 1,000 invented sessions and one with all, are asked the same things in
turn over HTTP, one request at a time, once both indexes are up to date. Printed are the median and
the 95th percentile of each, the processor time that the server took for a request (it does not
depend on what else the machine does; Linux only), and the ratio of the medians. The target: 200 ms
at the 95th percentile with 100,000 sessions.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path
from statistics import median, quantiles

import httpx

sys.path.insert(0, str(Path(__file__).parents[2]))

from assistant.depot.database import open_depot
from assistant.record.store import Store
from tests.benchmarks.synthetic_depot import fill
from tests.review.served import Served, serving

SMALL = 1000
DEEP = 15
"""Pages that are turned before the deep page is measured."""


def depot(home: Path, count: int) -> Path:
    """A home with ``count`` sessions; one that is filled already is used again."""
    store = Store(home)
    if store.first_run:
        index = open_depot(store)
        fill(index, count)
        index.close()
    return home


def deep_page(client: httpx.Client) -> str:
    """The address of a page far down the list."""
    path = "/sessions"
    for _ in range(DEEP):
        text = client.get(path).text
        at = text.index('rel="next" href="') + len('rel="next" href="')
        path = text[at : text.index('"', at)].replace("&amp;", "&")
    return path


def caught_up(client: httpx.Client) -> None:
    """Returns once the index holds what is on the disk."""
    while 'role="status"' in client.get("/").text:
        time.sleep(0.2)


def processor(server: Served) -> float:
    """Milliseconds of processor time that the server has taken so far."""
    fields = Path(f"/proc/{server.process}/stat").read_text().rsplit(")", 1)[1].split()
    return 1000 * (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    told = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    told.add_argument("--sessions", type=int, default=100_000)
    told.add_argument("--home", type=Path, default=Path(tempfile.gettempdir()) / "benchcall-depots")
    told.add_argument("--requests", type=int, default=200)
    options = told.parse_args()
    counts = (SMALL, options.sessions)
    homes = [depot(options.home / str(count), count) for count in counts]
    with ExitStack() as stack:
        began = time.perf_counter()
        servers = [stack.enter_context(serving(homes[0]))]
        between = time.perf_counter()
        servers.append(stack.enter_context(serving(homes[1])))
        ready = time.perf_counter()
        print(f"ready after {between - began:.1f} s with {counts[0]:,} sessions, ", end="")
        print(f"{ready - between:.1f} s with {counts[1]:,}")
        clients = [stack.enter_context(server.visitor()) for server in servers]
        for client in clients:
            caught_up(client)
        deep = [deep_page(client) for client in clients]
        asked = {
            "what needs a look": ("/", "/"),
            "all sessions": ("/sessions", "/sessions"),
            f"page {DEEP + 1} of them": tuple(deep),
            "one unit": ("/sessions?unit=14",) * 2,
            "not signed, faulty": ("/sessions?outcome=faulty&signed=no",) * 2,
            "search, one word": ("/sessions?search=gate",) * 2,
            "search, three words": ("/sessions?search=gate+rain+slope",) * 2,
        }
        print(f"{'':22}{counts[0]:>9,} sessions{counts[1]:>25,} sessions            ratio")
        for what, paths in asked.items():
            before = [processor(server) for server in servers]
            times: tuple[list[float], list[float]] = ([], [])
            for _ in range(options.requests):
                for client, path, taken in zip(clients, paths, times, strict=True):
                    start = time.perf_counter()
                    answer = client.get(path)
                    taken.append(1000 * (time.perf_counter() - start))
                    assert answer.status_code == 200, path
            used = [
                (processor(s) - b) / options.requests for s, b in zip(servers, before, strict=True)
            ]
            cells = [
                f"{median(t):6.1f}, p95 {quantiles(t, n=20)[18]:6.1f}, cpu {u:5.1f} ms"
                for t, u in zip(times, used, strict=True)
            ]
            print(f"{what:22}{'  '.join(cells)}   {median(times[1]) / median(times[0]):5.2f}")


if __name__ == "__main__":
    main()
