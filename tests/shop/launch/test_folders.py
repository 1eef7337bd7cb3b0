import pytest

from shop.launch import folders
from shop.launch.folders import open_folder, refuse_full_disk
from shop.launch.telling import Problem


def test_a_disk_with_room_is_fine(tmp_path):
    refuse_full_disk(tmp_path, needed_mb=1)


def test_a_full_disk_is_told_with_both_figures(tmp_path):
    with pytest.raises(Problem, match=r"has \d+ MB free and about 1000000000 MB are needed"):
        refuse_full_disk(tmp_path, needed_mb=1_000_000_000)


def test_a_new_folder_is_made_for_its_owner_only(tmp_path):
    folder = tmp_path / "deep/data"
    open_folder(folder, called="The data folder", instead="name another")
    assert folder.stat().st_mode & 0o777 == 0o700
    assert list(folder.iterdir()) == []


def test_a_folder_that_can_not_be_made_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(
        Problem, match=r"^It .*data can't be written \(Not a directory\).*, or pray"
    ):
        open_folder(tmp_path / "file/data", called="It", instead="pray")


def test_a_folder_that_can_not_be_written_is_told(tmp_path, monkeypatch):
    def refuse(dir):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(folders.tempfile, "TemporaryFile", refuse)
    with pytest.raises(Problem, match=r"can't be written \(Permission denied\)"):
        open_folder(tmp_path, called="It", instead="pray")
