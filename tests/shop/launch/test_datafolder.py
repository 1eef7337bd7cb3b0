import pytest

from shop.launch import datafolder
from shop.launch.telling import Problem


def test_a_new_folder_is_made(tmp_path):
    datafolder.open_data_folder(tmp_path / "data", version="0.1.0")
    assert (tmp_path / "data").is_dir()


@pytest.mark.parametrize("last", ["0.1.0", "0.0.9", ""], ids=["same", "older", "unmarked"])
def test_a_folder_of_this_or_an_older_version_opens(tmp_path, last):
    if last:
        datafolder.mark(tmp_path, version=last)
    datafolder.open_data_folder(tmp_path, version="0.1.0")


def test_a_folder_of_a_newer_version_is_refused_with_both_versions(tmp_path):
    datafolder.mark(tmp_path, version="0.10.0")
    with pytest.raises(Problem, match=r"used by Gramil 0\.10\.0 and this is Gramil 0\.9\.2"):
        datafolder.open_data_folder(tmp_path, version="0.9.2")


def test_the_mark_follows_the_version_that_used_the_folder(tmp_path):
    datafolder.mark(tmp_path, version="0.1.0")
    datafolder.mark(tmp_path, version="0.2.0")
    assert datafolder.last_version(tmp_path) == "0.2.0"


@pytest.mark.parametrize("text", ["", "{", "[]", "{}"])
def test_a_damaged_mark_counts_as_none(tmp_path, text):
    (tmp_path / datafolder.MARKER).write_text(text)
    assert datafolder.last_version(tmp_path) == ""


def test_a_folder_that_can_not_be_made_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(Problem, match=r"can't be written \(Not a directory\).*--data"):
        datafolder.open_data_folder(tmp_path / "file/data", version="0.1.0")


def test_a_full_disk_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(datafolder, "ROOM_MB", 10**12)
    with pytest.raises(Problem, match="make room there"):
        datafolder.open_data_folder(tmp_path, version="0.1.0")


def test_what_earlier_processes_counted_is_not_counted_again(tmp_path):
    (datafolder.figures_folder(tmp_path) / "counter_17.db").touch()
    assert list(datafolder.figures_folder(tmp_path).iterdir()) == []
