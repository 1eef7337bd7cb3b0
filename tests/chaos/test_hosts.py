"""Several web processes over one PostgreSQL: one is lost under load, nothing acknowledged is."""

import http.client
import json
import threading
import time
from collections import Counter
from decimal import Decimal

import pytest
from django.db import connection
from django.utils import timezone

from inventory.ledger.services.incoming import NewLine
from inventory.models import Material
from inventory.purchasing.services.deliveries import receive_delivery
from quotes.models import Client
from shop.devices.services import add_device
from tests.chaos import times
from tests.chaos.hosts import THREADS, Caller, Proxy, database_connections, hosts
from tests.factories import NOW, TODAY, make_material
from tests.shop.factories import make_build

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite is one process's own"),
    pytest.mark.django_db(transaction=True),
]
CALLERS = 6
PROCESSES = 4
STOCK = 1_000_000


class Load:
    """Callers who write at once, and again with the same key until they are answered."""

    def __init__(self, port, token, material, build):
        self.acknowledged, self.answers, self.broken = [], Counter(), 0
        self._material, self._build, self._is_over = material.pk, f"build:{build.pk}", False
        self._turn = threading.Lock()
        self._threads = [
            threading.Thread(target=self._go_on, args=(number, port, token), daemon=True)
            for number in range(CALLERS)
        ]

    def __enter__(self):
        for one in self._threads:
            one.start()
        return self

    def __exit__(self, *raised):
        self._is_over = True
        for one in self._threads:
            one.join()

    def wait_for(self, more):
        """Wait until so many more were acknowledged than now."""
        wanted = len(self.acknowledged) + more
        while len(self.acknowledged) < wanted and any(one.is_alive() for one in self._threads):
            time.sleep(0.02)
        assert len(self.acknowledged) >= wanted

    def _go_on(self, number, port, token):
        headers = {"Authorization": f"Token {token}", "Content-Type": "application/json"}
        caller = Caller(port, headers)
        count = 0
        while not self._is_over:
            count += 1
            name = f"{number}-{count}"
            way, body = (
                f"materials/{self._material}/draw/",
                {"quantity": "1", "holder": self._build},
            )
            if count % 2:
                way, body = "clients/", {"name": name}
            status = self._until_answered(caller, way, json.dumps(body), name)
            with self._turn:
                self.answers[status] += 1
                if status == 201:
                    self.acknowledged.append((way, name))
        caller.hang_up()

    def _until_answered(self, caller, way, body, key):
        while True:
            try:
                return caller.ask("POST", f"/api/v1/{way}", body, **{"Idempotency-Key": key})[0]
            except (OSError, http.client.HTTPException):
                self.broken += 1


def test_nothing_acknowledged_is_lost_or_done_twice_when_processes_are_killed(posy):
    material = make_material("fretwire", kept_as="count")
    line = NewLine(material=material, quantity=Decimal(STOCK), price=Decimal(1))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    _, token = add_device(user=posy, name="phone", now=timezone.now(), rights="all")
    kills = times(1, whole=PROCESSES - 1)
    with (
        hosts(PROCESSES) as started,
        Proxy([one.port for one in started]) as proxy,
        Load(proxy.port, token, material, make_build()) as load,
    ):
        load.wait_for(30)
        most = database_connections()
        for one in started[:kills]:
            one.kill()
            load.wait_for(times(30, whole=300))
    print(
        f"{kills} of {PROCESSES} processes killed: {len(load.acknowledged)} acts acknowledged, "
        f"{load.broken} connections broke, at most {most} connections to the database"
    )
    assert set(load.answers) == {201}
    assert load.broken > 0
    assert most <= PROCESSES * (THREADS + 1)
    clients = [name for way, name in load.acknowledged if way == "clients/"]
    assert sorted(Client.objects.values_list("name", flat=True)) == sorted(clients)
    drawn = len(load.acknowledged) - len(clients)
    assert Material.objects.get(pk=material.pk).on_hand == STOCK - drawn
