from decimal import Decimal

import numpy as np
import pytest

from inventory.wood.calc.drying_ahead import Watcher
from inventory.wood.calc.seasoning import Wood, curves_of
from tests.inventory.wood.simulated_boards import RESTING, slab_board


@pytest.mark.parametrize(("kind", "more"), [("thin set", 3), ("board", 12), ("billet", 30)])
def test_weighing_on_tells_what_weighings_from_the_scale_would_tell(kind, more):
    board = slab_board(kind, 3)
    wood = Wood(thickness_mm=Decimal(round(board.thickness)), resting=Decimal(str(RESTING)))
    few, all_of_them = board.weighings[:5], board.weighings[: 5 + more]
    curves = curves_of(few, wood)
    watcher = Watcher(curves, draws=2)
    days = np.array(board.days[5 : 5 + more], dtype=float)
    masses = [float(one.grams) / curves.unit for one in all_of_them[5:]]
    watcher.weigh(days, np.array([masses, masses]))
    told = watcher.chance_near(np.array([1]), days[-1], 1.0)[0]
    assert told == pytest.approx(curves_of(all_of_them, wood).chance_near(days[-1], 1.0), abs=0.1)


def test_before_any_more_is_weighed_it_knows_what_the_curves_know():
    board = slab_board("board", 1)
    curves = curves_of(board.weighings[:9], Wood(thickness_mm=Decimal(30)))
    told = Watcher(curves, draws=1).chance_near(np.array([0]), board.days[8], 1.0)[0]
    assert told == pytest.approx(curves.chance_near(board.days[8], 1.0), abs=0.02)
