"""How a length of time is written: hours and minutes, the same on every page, paper and picture."""

import math
from decimal import Decimal

MINUS = "−"


def format_minutes(minutes: int | float | Decimal, step: int = 1) -> str:
    """Return `minutes` as `7:45 h`, to `step` minutes (half up); below 0 with a minus sign."""
    exact = abs(minutes) if isinstance(minutes, Decimal) else Decimal(str(abs(minutes)))
    whole = math.floor(exact / step + Decimal("0.5")) * step
    sign = MINUS if minutes < 0 and whole else ""
    return f"{sign}{whole // 60}:{whole % 60:02} h"


def h_mm(hours: int | float | Decimal, step: int = 1) -> str:
    """Return `hours` as `7:45 h`; a `step` of 6 rounds to a tenth of an hour, as quotes do."""
    return format_minutes(hours * 60, step)
