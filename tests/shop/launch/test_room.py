import pytest

from shop.launch.room import refuse_full_disk
from shop.launch.telling import Problem


def test_a_disk_with_room_is_fine(tmp_path):
    refuse_full_disk(tmp_path, needed_mb=1)


def test_a_full_disk_is_told_with_both_figures(tmp_path):
    with pytest.raises(Problem, match=r"has \d+ MB free and about 1000000000 MB are needed"):
        refuse_full_disk(tmp_path, needed_mb=1_000_000_000)
