"""W3 by a stranger's program: a day at the bench without signal, told twice, counted once."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

DAY, RATE = date(2027, 3, 16), Decimal(45)
STAGES = ("Bend ribs, blocks, linings", "Carve and graduate top", "Level and buff")


def at(text):
    return datetime.fromisoformat(f"2027-03-16T{text}:00+00:00")


@pytest.fixture
def builds(program, clock):
    """Builds A, B and C of one template with three stages."""
    clock(datetime(2027, 3, 16, 18, 5, tzinfo=UTC))
    template = program("templates_create", name="Carved bouzouki").id
    for place, name in enumerate(STAGES, start=1):
        program(
            "template_stages_create",
            template=template,
            position=place,
            name=name,
            hours_low="1",
            hours_likely="2",
            hours_high="4",
        )
    made = [program("builds_create", template=template, title=f"{one} bouzouki") for one in "ABC"]
    return dict(zip("ABC", made, strict=True))


def work(builds, names, place):
    return [{"build": builds[one].id, "stage": builds[one].stages[place].id} for one in names]


def tell(program, builds):
    """Send the day in order, each act under its own key; return what was answered."""
    told = []

    def say(operation, **asked):
        header = {"idempotency_key": f"w3-{len(told)}", "device_time": at("18:05").isoformat()}
        told.append(program(operation, header=header, **asked))
        return told[-1].id

    ribs = say("clock_start", at=at("08:40"), work=work(builds, "AB", 0))
    say("clock_stop", entry=ribs, at=at("09:55"))
    top = say("clock_start", at=at("10:10"), work=work(builds, "A", 1))
    say("clock_interruptions_add", entry=top, started_at=at("11:05"), minutes=12, reason="enquiry")
    say("clock_stop", entry=top, at=at("12:25"))
    linings = say("clock_start", at=at("13:15"), work=work(builds, "B", 0))
    say("clock_settle", entry=linings, end=at("14:40"), noticed_at=at("17:50"))
    say(
        "time_entries_create",
        day=DAY,
        minutes=140,
        started_at=at("15:00"),
        work=work(builds, "C", 2),
    )
    say("time_entries_create", day=DAY, minutes=30, started_at=at("17:20"), reason="clean-up")
    return told


def test_the_day_is_told_twice_and_counted_once(program, builds):
    first = tell(program, builds)
    assert tell(program, builds) == first

    rows = program("time_entries_list", page_size=200).results
    assert len(rows) == 6
    entries = [program("time_entries_read", row.id) for row in rows]
    worked = dict.fromkeys("ABC", Decimal(0))
    names = {build.id: name for name, build in builds.items()}
    for entry in entries:
        for share in entry.shares:
            worked[names[share.build]] += Decimal(share.seconds) / 60
    assert worked == {"A": Decimal("160.5"), "B": Decimal("122.5"), "C": Decimal(140)}
    billable = sum(entry.seconds for entry in entries if entry.is_billable)
    everything = sum(entry.seconds for entry in entries)
    assert (billable, everything) == (423 * 60, 465 * 60)
    lines = [(RATE * minutes / 60).quantize(Decimal("0.01")) for minutes in worked.values()]
    assert sum(lines) == Decimal("317.26")


def test_the_forgotten_stop_keeps_what_the_clock_said(program, builds):
    told = tell(program, builds)[6]
    assert (told.minutes, told.raw_minutes) == ("85", "275")
