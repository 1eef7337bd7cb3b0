"""Days of taps drawn at random come out in the books as they were worked, minute for minute.

The tally knows nothing of the program: it holds what a person with a watch would write down.
"""

import random
from collections import Counter
from datetime import date, datetime, timedelta

import pytest

from shop.models import TimeEntry
from tests.chaos import times

pytestmark = [pytest.mark.browser, pytest.mark.slow]

DAYS = times(2, 100)
FIRST = date(2027, 3, 1)
LONGEST_ON_ONE = 180
INTERRUPTED = (5, 10, 15)


class Tally:
    """Minutes by build, and by interruption; `undo` goes back to before the last act."""

    def __init__(self):
        self.minutes = Counter()
        self.on, self.since, self.taken = None, 0, 0
        self.before = None

    def act(self, now, on):
        self.remember()
        self.close(now)
        self.on, self.since, self.taken = on, now, 0

    def interrupt(self, minutes):
        self.remember()
        self.taken += minutes
        self.minutes["interrupted"] += minutes

    def remember(self):
        self.before = (self.minutes.copy(), self.on, self.since, self.taken)

    def close(self, now):
        if self.on:
            self.minutes[self.on] += now - self.since - self.taken

    def undo(self):
        self.minutes, self.on, self.since, self.taken = self.before
        self.before = None


class Day:
    """One day of somebody at the bench, drawn by `seed`."""

    def __init__(self, phone, shop, day, seed):
        self.phone, self.shop, self.day = phone, shop, day
        self.random = random.Random(seed)
        self.tally = Tally()
        self.made = Counter()
        self.minute = 0
        self.is_cut = False

    def work(self):
        self.move(8 * 60)
        while self.minute < 16 * 60:
            self.step()
            self.move(self.minute + self.random.randint(11, 45))
        if self.tally.on:
            self.stop()
        self.move(self.minute + 2)
        self.signal(is_cut=False)
        self.phone.settle()

    def step(self):
        likely = {"start": 5, "stop": 2, "interrupt": 2, "undo": 2, "reopen": 1, "signal": 2}
        act = self.random.choices(list(likely), list(likely.values()))[0]
        if self.tally.on and self.minute - self.tally.since > LONGEST_ON_ONE - 45:
            act = "start"
        getattr(self, act)()

    def move(self, minute):
        """Let it be `minute` of the day on phone and computer, with nothing under way between."""
        self.arrived()
        self.phone.cut()
        at = datetime.combine(self.day, datetime.min.time()) + timedelta(minutes=minute)
        self.shop.set_clock(f"{at:%Y-%m-%d %H:%M}")
        self.phone.set_clock(f"{at:%Y-%m-%d %H:%M}")
        self.minute = minute
        if not self.is_cut:
            self.phone.reconnect()

    def arrived(self):
        """Wait for what can arrive: an interruption can be taken back for ten seconds yet."""
        for _ in range(400):
            waiting = [act for act in self.phone.queue() if act["state"] == "waiting"]
            if self.is_cut or all(act["kind"] == "interruption" for act in waiting):
                return
            self.phone.page.wait_for_timeout(50)
        raise AssertionError(self.phone.queue())

    def start(self):
        build = self.random.choice([name for name in "ABC" if name != self.tally.on])
        self.tapped("start", lambda: self.phone.tap(f"^{build} mandolin", within="main"))
        self.tally.act(self.minute, build)

    def stop(self):
        if not self.tally.on:
            return
        self.tapped("stop", lambda: self.phone.tap("^Stop$"))
        self.tally.act(self.minute, None)

    def interrupt(self):
        minutes = self.random.choice(INTERRUPTED)
        if not self.tally.on or self.minute - self.tally.since - self.tally.taken <= minutes:
            return
        if self.minute - self.tally.since < minutes + 1:
            return
        self.phone.tap("^Interruption$")
        self.phone.write("Minutes", str(minutes))
        self.tapped("interruption", lambda: self.phone.tap("^Save$", within="main"))
        self.tally.interrupt(minutes)

    def undo(self):
        """Do something and take it back at once."""
        before = sum(self.made.values())
        self.random.choice([self.start, self.stop, self.interrupt])()
        if sum(self.made.values()) == before:
            return
        if self.random.random() < 0.5:
            self.arrived()
        self.phone.tap("^Undo$", within="#undo")
        self.phone.page.locator("#undo").wait_for(state="hidden")
        self.made["undo"] += 1
        self.tally.undo()

    def reopen(self):
        self.phone.kill()
        self.phone.open()

    def signal(self, is_cut=None):
        self.is_cut = not self.is_cut if is_cut is None else is_cut
        if self.is_cut:
            self.phone.cut()
        else:
            self.phone.reconnect()

    def tapped(self, kind, tap):
        count = len(self.phone.queue())
        tap()
        for _ in range(200):
            if len(self.phone.queue()) > count:
                break
            self.phone.page.wait_for_timeout(20)
        self.made[kind] += 1

    def booked(self):
        minutes = Counter()
        for entry in TimeEntry.objects.filter(day=self.day).exclude(reason="undone"):
            for share in entry.shares.all():
                minutes[share.build.title[0]] += share.seconds / 60
            if not entry.is_billable:
                minutes["interrupted"] += entry.seconds / 60
        return minutes


def test_random_days_are_booked_as_they_were_worked(phone, shop, builds):
    made, minutes = Counter(), Counter(days=0, worked=0, booked=0)
    phone.settle()
    for number in range(DAYS):
        day = Day(phone, shop, FIRST + timedelta(days=number), seed=number)
        day.work()
        worked, booked = +day.tally.minutes, +day.booked()
        states = Counter(phone.states())
        print(f"day {number}: {dict(day.made)}, worked {dict(worked)}, booked {dict(booked)}")
        assert booked == worked, f"day {number}: {states}"
        assert set(states) <= {"done"}
        made += day.made
        minutes.update(days=1, worked=worked.total(), booked=booked.total())
    print(f"{minutes['days']} days equal; {made.total()} acts made: {dict(made)}; ", end="")
    print(f"{minutes['worked']} minutes worked, {minutes['booked']:g} booked")
    assert TimeEntry.objects.filter(seconds=None).count() == 0
