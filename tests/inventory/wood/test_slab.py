import numpy as np
import pytest

from inventory.wood.calc.slab import part_lost, roots

# Roots of b tan b = C: Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, appendix IV,
# table I (from memory; recomputed to four places by an independent script).
ROOTS = {
    0.1: (0.3111, 3.1731, 6.2991, 9.4354),
    1: (0.8603, 3.4256, 6.4373, 9.5293),
    5: (1.3138, 4.0336, 6.9096, 9.8928),
    10: (1.4289, 4.3058, 7.2281, 10.2003),
    100: (1.5552, 4.6658, 7.7764, 10.8871),
}
# The part lost by T: Crank, The Mathematics of Diffusion, section 4.3.6 (computed independently).
TIMES = (0.1, 0.2, 0.5, 1, 2, 5)
LOST = {
    0.5: (0.0446, 0.0854, 0.1957, 0.3502, 0.5760, 0.8821),
    1: (0.0804, 0.1484, 0.3189, 0.5296, 0.7756, 0.9756),
    5: (0.2186, 0.3510, 0.6148, 0.8375, 0.9711, 0.9998),
    10: (0.2739, 0.4167, 0.6850, 0.8865, 0.9853, 1.0000),
    100: (0.3470, 0.4943, 0.7558, 0.9271, 0.9935, 1.0000),
}
# Without surface resistance, the same source.
FREE = {0.25: 0.0491, 0.5: 0.1967, 0.75: 0.4767, 0.9: 0.8481, 0.95: 1.1290, 0.99: 1.7813}


@pytest.mark.parametrize("resistance", ROOTS)
def test_roots_are_those_of_the_table(resistance):
    assert roots(resistance, 4) == pytest.approx(ROOTS[resistance], abs=5.1e-5)


@pytest.mark.parametrize("resistance", LOST)
def test_the_part_lost_is_that_of_the_table(resistance):
    assert part_lost(np.array(TIMES), resistance) == pytest.approx(LOST[resistance], abs=5.1e-5)


@pytest.mark.parametrize("part", FREE)
def test_a_surface_that_resists_nothing_leaves_the_plain_solution(part):
    assert part_lost(FREE[part], 1e5) == pytest.approx(part, abs=1.5e-4)
