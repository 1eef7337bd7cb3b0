"""Open days as one axis of time: day and part of the day, to minutes at the bench, and back."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
Whole = NDArray[np.integer[Any]]


FINEST = 3
"""Places of a minute that count: a day that is full to the minute must not spill into the next."""


class OpenTime:
    """The bench minutes of each pair of hands, day by day, in each draw.

    A clock is a day, counted from today, and the part of that day's minutes that has passed. All
    draws are looked up at once: their tables lie one after another on one sorted axis.
    """

    def __init__(self, minutes: Floats) -> None:
        """Take minutes (hands, draws, days), or one draw for all of them."""
        self.hands, self.draws, self.days = minutes.shape
        table = np.zeros((self.hands, self.draws, self.days + 1))
        np.cumsum(minutes, axis=2, out=table[:, :, 1:])
        table = np.round(table, FINEST)
        self.apart = float(np.ceil(table.max())) + 1
        self.width = self.days + 1
        rows = np.arange(self.hands * self.draws)[:, None] * self.apart
        self.axis = (table.reshape(-1, self.width) + rows).ravel()
        each = np.diff(table, axis=2, append=table[:, :, -1:] + 1)
        self.minutes = each.ravel()
        open_on = np.where(each > 0, np.arange(self.width), self.width)
        self.opens = np.minimum.accumulate(open_on[:, :, ::-1], axis=2)[:, :, ::-1].ravel()

    def rows_of(self, hand: Whole, draw: Whole) -> Whole:
        """Return the row of each hand in each draw."""
        return np.asarray(hand * self.draws + (draw if self.draws > 1 else 0))

    def worked_until(self, row: Whole, clock: Floats) -> Floats:
        """Return the point on the axis at `clock`."""
        day = np.minimum(clock.astype(np.int64), self.days)
        place = row * self.width + day
        point = self.axis[place] + (clock - day) * self.minutes[place]
        return np.asarray(np.round(point, FINEST))

    def opening(self, row: Whole, clock: Floats) -> Floats:
        """Return the clock at which somebody is at the bench, at `clock` or after."""
        day = np.minimum(clock.astype(np.int64), self.days)
        return np.asarray(np.maximum(clock, self.opens[row * self.width + day]))

    def ending(self, row: Whole, point: Floats) -> tuple[Floats, Whole]:
        """Return the clock, and the day, at which the minute before `point` ends."""
        place = np.searchsorted(self.axis, point, side="left") - 1
        place = np.clip(place, row * self.width, row * self.width + self.days)
        part = (point - self.axis[place]) / np.maximum(self.minutes[place], 1e-9)
        day = place - row * self.width
        return day + part, day
