"""Which rows of builds and hours are copied, all hours of different length."""

from quotes import models as papers
from shop import models as bench
from shop.models import Batch, Build, TimeEntry, TimeShare
from tests.bench.years.rows import DAYS, STRIDE, Copies, varied
from tests.bench.years.times import Kinds, Times, year_back


def builds_made(times: Times, kinds: Kinds) -> list[Copies]:
    rows = [Copies(model=Batch, times=times.past, also={"name": "old.name || ' ' || turn"})]
    for keys, each, days in (
        (kinds.delivered, times.orders, DAYS),
        (kinds.past, times.past, DAYS),
        (kinds.open, times.open, 60),
    ):
        own = {"build": each}
        of_build = f"old.build_id IN ({keys})"
        serial = f"{year_back('old.made_on', each, days)} || '-' || (turn * {STRIDE} + old.id)"
        titled = "old.title || CASE WHEN turn % 3 = 0 THEN '' ELSE ', the ' || turn END"
        rows += [
            Copies(
                model=Build,
                times=each,
                where=f"old.id IN ({keys})",
                links={"batch": times.past},
                also={"serial": serial, "title": titled},
                days=days,
            ),
            Copies(model=bench.BuildStage, times=each, where=of_build, links=own, days=days),
            Copies(
                model=bench.BuildLine,
                times=each,
                where=of_build,
                links={**own, "stage": each},
                days=days,
            ),
            *(
                Copies(model=model, times=each, where=of_build, links=links, days=days)
                for model, links in (
                    (bench.LostDays, own),
                    (bench.BuildNote, {**own, "stage": each}),
                    (bench.SetUpReading, own),
                    (papers.Expense, own),
                    (papers.CloseOut, own),
                )
            ),
        ]
    return rows


def hours_worked(times: Times, kinds: Kinds) -> list[Copies]:
    """Three stretches of work for each that the demo has, all of different length."""
    rows = []
    for keys, builds, days in (
        (kinds.delivered, times.orders, DAYS),
        (kinds.past, times.past, DAYS),
        (kinds.open, times.open, 60),
    ):
        is_open = days != DAYS
        each = builds if is_open else 3 * builds
        of_build = f"SELECT entry_id FROM shop_timeshare WHERE build_id IN ({keys})"
        also = {} if is_open else {"seconds": _stretch("old.id")}
        raw = {} if is_open else {"raw_seconds": _stretch("old.id", "old.raw_seconds")}
        shared = {} if is_open else {"seconds": _stretch("old.entry_id")}
        rows += [
            Copies(
                model=TimeEntry,
                times=each,
                where=f"old.id IN ({of_build}) AND old.seconds IS NOT NULL",
                links={"within": each},
                also=also | raw,
                days=days,
            ),
            Copies(
                model=TimeShare,
                times=each,
                where=f"old.build_id IN ({keys})",
                links={"entry": each, "build": builds, "stage": builds},
                also=shared,
                days=days,
            ),
        ]
    return rows


def _stretch(key: str, seconds: str = "old.seconds") -> str:
    return f"({seconds} / 300 * {varied(key, 55, 150)} / 60 * 60 + 60)"
