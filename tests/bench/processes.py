"""Requests a second with one, two and four web processes behind a small proxy, over PostgreSQL."""

import http.client
import json
import os
import statistics
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from inventory.models import Material
from shop.devices.services import add_device
from tests.chaos.hosts import Caller, Proxy, hosts
from tests.conftest import make_person
from tests.sweeps.demo import begin_keys_at_one

PROCESSES = (1, 2, 4)
CALLERS = 12
WARM, COUNTED = 240, 1200
READS = ("clock/", "materials/", "builds/", "quotes/", "promises/", "time-entries/")


@dataclass(frozen=True, slots=True)
class Throughput:
    """What so many processes did: requests a second, and how long an answer took, in seconds."""

    processes: int
    per_second: float
    median: float
    slow: float


def bench() -> list[Throughput]:
    if connection.vendor == "sqlite":
        return []
    begin_keys_at_one()
    call_command("load_demo", verbosity=0)
    _, token = add_device(
        user=make_person("quill", "owner"), name="bench", now=timezone.now(), rights="all"
    )
    countable = Material.objects.exclude(kept_as="piece")
    materials = list(countable.values_list("pk", flat=True))
    connection.close()
    return [_measured(count, token, materials) for count in PROCESSES]


def table(rows: list[Throughput]) -> str:
    if not rows:
        return "SQLite is one process's own: name a PostgreSQL in DATABASE_URL."
    load = os.getloadavg()[0]
    lines = [f"{CALLERS} callers, one write in five; {os.cpu_count()} cores, load {load:.1f}"]
    lines.append(f"{'web processes':<16}{'a second':>10}{'median':>12}{'99 of 100':>12}")
    for row in rows:
        times = f"{row.median * 1000:>9.1f} ms{row.slow * 1000:>9.1f} ms"
        lines.append(f"{row.processes:<16}{row.per_second:>10.1f}{times}")
    return "\n".join(lines)


def _measured(count: int, token: str, materials: list[int]) -> Throughput:
    with hosts(count) as started, Proxy([one.port for one in started]) as proxy:
        ask = _asker(proxy.port, token, materials)
        _ask_together(ask, WARM)
        begun = time.perf_counter()
        took = _ask_together(ask, COUNTED)
        seconds = time.perf_counter() - begun
    slow = statistics.quantiles(took, n=100)[-1]
    return Throughput(count, COUNTED / seconds, statistics.median(took), slow)


def _asker(port: int, token: str, materials: list[int]) -> Callable[[Caller, int], float]:
    def ask(caller: Caller, number: int) -> float:
        begun = time.perf_counter()
        if number % 5:
            status, _ = caller.ask("GET", f"/api/v1/{READS[number % len(READS)]}")
        else:
            body = json.dumps({"quantity": "1", "holder": "build:1"})
            material = materials[number // 5 % len(materials)]
            status, _ = caller.ask("POST", f"/api/v1/materials/{material}/draw/", body)
        if status >= 400:
            raise RuntimeError(f"The bench was answered {status}.")
        return time.perf_counter() - begun

    ask.port, ask.headers = port, {  # type: ignore[attr-defined]
        "Authorization": f"Token {token}", "Content-Type": "application/json",
    }  # fmt: skip
    return ask


def _ask_together(ask: Callable[[Caller, int], float], requests: int) -> list[float]:
    numbers, turn, took = iter(range(requests)), threading.Lock(), []

    def go_on() -> None:
        caller = Caller(ask.port, ask.headers)  # type: ignore[attr-defined]
        while True:
            with turn:
                number = next(numbers, None)
            if number is None:
                break
            took.append(ask(caller, number))
        caller.hang_up()

    threads = [threading.Thread(target=go_on) for _ in range(CALLERS)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    if len(took) != requests:
        raise http.client.HTTPException("Not every request of the bench was answered.")
    return took
