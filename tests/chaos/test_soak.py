"""Twenty thousand requests of every kind: memory flat, connections bounded, nothing breaks."""

import http.client
import json
import random
import threading
import time
from collections import Counter

import pytest
from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from inventory.models import Lot, Material
from quotes.models import Client
from shop.devices.services import add_device
from shop.models import Build
from tests.chaos import IS_WHOLE, times
from tests.chaos.hosts import THREADS, Caller, database_connections, hosts
from tests.conftest import make_person
from tests.sweeps.demo import begin_keys_at_one

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]
CALLERS = 6
MOST_GROWTH = 1.10
"""Of memory between a fifth of the way and the end."""
PAGES = ("/stock/", "/quotes/", "/builds/", "/clients/", "/hours/", "/books/", "/search/?q=maple",
         "/quotes/1/", "/stock/m/1/", "/templates/")  # fmt: skip
READS = ("clock/", "materials/", "builds/", "lots/", "quotes/", "clients/", "entries/",
         "time-entries/", "promises/", "materials/changed/", "places/", "my-access/sessions/",
         "invoices/", "builds/1/", "quotes/1/price/")  # fmt: skip
FORECASTS = ("/", "/queue/", "/builds/1/", "/api/v1/queue/today/")
"""Work out the queue anew after whatever was written, and so are asked less."""
WRONG = (
    ("POST", "/api/v1/clients/", "{"),
    ("POST", "/api/v1/clients/", "[" * 5000),
    ("POST", "/api/v1/materials/1/draw/", '{"quantity": "many", "holder": ""}'),
    ("GET", "/api/v1/materials/?colour=red", None),
    ("GET", "/nowhere/", None),
    ("POST", "/quotes/1/issue/", "x=1"),
)
HOW_OFTEN = {"read": 56, "page": 18, "write": 21, "wrong": 3, "forecast": 1, "paper": 1}


class Mix:
    """Requests of every kind, drawn by dice, over what the books hold."""

    def __init__(self, seed):
        self.dice = random.Random(seed)
        self.materials = list(
            Material.objects.exclude(kept_as="piece").values_list("pk", flat=True)
        )
        self.pieces = list(Lot.objects.values_list("number", flat=True)[:20])
        self.clients = list(
            Client.objects.filter(currency__in=("", "EUR")).values_list("pk", flat=True)
        )
        self.builds = list(Build.objects.exclude(state="closed").values_list("pk", flat=True))
        connection.close()

    def draw(self):
        """Return a kind, and what is asked: method, address, body."""
        [kind] = self.dice.choices(list(HOW_OFTEN), HOW_OFTEN.values())
        return kind, getattr(self, f"_{kind}")()

    def _read(self):
        return "GET", f"/api/v1/{self.dice.choice(READS)}", None

    def _page(self):
        return "GET", self.dice.choice(PAGES), None

    def _forecast(self):
        return "GET", self.dice.choice(FORECASTS), None

    def _paper(self):
        return "GET", f"/api/v1/lots/{self.dice.choice(self.pieces)}/label/", None

    def _wrong(self):
        return self.dice.choice(WRONG)

    def _write(self):
        pick, number = self.dice.choice, self.dice.randrange(10**9)
        material, build = pick(self.materials), f"build:{pick(self.builds)}"
        today = f"{timezone.localdate()}"
        way, body = pick(
            [
                (f"materials/{material}/draw/", {"quantity": "1", "holder": build}),
                (f"materials/{material}/count/", {"counted": "5000", "why": "miscounted"}),
                (f"builds/{pick(self.builds)}/notes/", {"text": f"Looked at it, {number}."}),
                ("clients/", {"name": f"Client {number}"}),
                ("payments/", {"client": pick(self.clients), "amount": "1.00",
                               "received_on": today, "way": "cash"}),
                ("devices/hello/", {"version": "1.0"}),
            ]
        )  # fmt: skip
        return "POST", f"/api/v1/{way}", json.dumps(body)


class Soak:
    """Callers that ask at once, and what was answered to which kind."""

    def __init__(self, port, requests, tokens):
        self.left = requests
        self.answers, self.refused, self.faults = Counter(), Counter(), []
        self._turn = threading.Lock()
        self._callers = [
            threading.Thread(target=self._go_on, args=(Mix(n), port, *tokens), daemon=True)
            for n in range(CALLERS)
        ]

    def run(self, requests_left):
        """Ask until so many requests are left."""
        if not self._callers[0].ident:
            for one in self._callers:
                one.start()
        while self.left > requests_left and any(one.is_alive() for one in self._callers):
            time.sleep(0.05)

    def finish(self):
        for one in self._callers:
            one.join()

    def _go_on(self, mix, port, token, session):
        program = Caller(port, {"Authorization": f"Token {token}",
                                "Content-Type": "application/json"})  # fmt: skip
        browser = Caller(port, {"Cookie": f"sessionid={session}"})
        while self._take():
            kind, (method, way, body) = mix.draw()
            caller = program if way.startswith("/api/") else browser
            key = {"Idempotency-Key": f"{mix.dice.random()}"} if kind == "write" else {}
            try:
                status, content = caller.ask(method, way, body, **key)
            except (OSError, http.client.HTTPException) as error:
                status, content = 599, repr(error).encode()
            with self._turn:
                self.answers[kind, status // 100] += 1
                if kind == "write" and status >= 400:
                    self.refused[content[:300]] += 1
                if status >= 500:
                    self.faults.append(f"{status} {method} {way} {content[:200]!r}")
        program.hang_up()
        browser.hang_up()

    def _take(self):
        with self._turn:
            self.left -= 1
            return self.left >= 0


def test_memory_stays_flat_and_connections_bounded_over_many_requests(client, settings):
    begin_keys_at_one()
    call_command("load_demo", verbosity=0)
    owner = make_person("quill", "owner")
    _, token = add_device(user=owner, name="soak", now=timezone.now(), rights="all")
    client.force_login(owner)
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    requests, begun = times(400, whole=20_000), time.monotonic()
    with hosts(1) as [host]:
        soak = Soak(host.port, requests, (token, session))
        held, most, files = [], 0, 0
        for part in range(39, -1, -1):
            soak.run(requests * part // 40)
            most = max(most, database_connections())
            if part % 8 == 0:
                held.append(host.memory_mb())
                files = host.open_files() if len(held) == 1 else files
        soak.finish()
        files_late = host.open_files()
    print(
        f"{requests} requests on {connection.vendor} in {time.monotonic() - begun:.0f} s: "
        f"{', '.join(f'{one:.0f}' for one in held)} MB after each fifth; at most {most} "
        f"connections to the database; {files} open files, then {files_late}; "
        f"answers {dict(soak.answers)}"
    )
    assert soak.faults == []
    assert sum(soak.answers.values()) == requests
    for kind in set(HOW_OFTEN) - {"wrong"}:
        asked = sum(many for (of, _), many in soak.answers.items() if of == kind)
        assert soak.answers[kind, 2] > asked * 0.9, (kind, soak.refused)
    assert most <= THREADS + 1
    assert files_late <= files + 2 * THREADS
    if IS_WHOLE:  # fewer requests still fill caches and import what is imported where it is used
        assert held[-1] <= held[0] * MOST_GROWTH
