import pytest

from shop.launch import datafolder
from shop.launch.telling import Problem


def test_a_new_folder_is_made_for_its_owner_only(tmp_path):
    folder = tmp_path / "deep/data"
    datafolder.open_data_folder(folder, version="0.1.0")
    assert folder.stat().st_mode & 0o777 == 0o700
    assert list(folder.iterdir()) == []


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


def test_a_folder_that_can_not_be_written_is_told(tmp_path, monkeypatch):
    def refuse(dir):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(datafolder.tempfile, "TemporaryFile", refuse)
    with pytest.raises(Problem, match=r"can't be written \(Permission denied\)"):
        datafolder.open_data_folder(tmp_path, version="0.1.0")


def test_a_full_disk_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(datafolder, "ROOM_MB", 10**12)
    with pytest.raises(Problem, match="make room there"):
        datafolder.open_data_folder(tmp_path, version="0.1.0")
