"""A file has its name once all of it is on the disk, and never takes another one's place."""

import os
from pathlib import Path

import pytest
from django.core.files.base import ContentFile

from shop.base.keeping.disk import KeptFiles


@pytest.fixture
def files(tmp_path):
    return KeptFiles(location=tmp_path / "media")


def read(files, name):
    return Path(files.path(name)).read_bytes()


def kept(files):
    folder = files.path("")
    return sorted(os.path.relpath(os.path.join(at, name), folder)
                  for at, _, names in os.walk(folder) for name in names)  # fmt: skip


def test_a_file_is_kept_for_its_owner_only(files):
    name = files.save("quotes/2027/Q-1.pdf", ContentFile(b"paper"))
    assert read(files, name) == b"paper"
    assert os.stat(files.path(name)).st_mode & 0o777 == 0o600
    assert kept(files) == ["quotes/2027/Q-1.pdf"]


def test_no_file_is_replaced(files):
    names = [files.save("Q-1.pdf", ContentFile(text)) for text in (b"first", b"second")]
    assert [read(files, name) for name in names] == [b"first", b"second"]


def test_of_two_that_want_one_name_at_once_each_gets_its_own(files, monkeypatch):
    monkeypatch.setattr(KeptFiles, "exists", lambda self, name: False)  # both have looked before
    files.save("Q-1.pdf", ContentFile(b"first"))
    monkeypatch.undo()
    assert files._save("Q-1.pdf", ContentFile(b"second")) != "Q-1.pdf"
    assert read(files, "Q-1.pdf") == b"first"


def test_a_disk_that_is_full_leaves_nothing_half_written(files, monkeypatch):
    def full(_):
        raise OSError(28, "No space left on device")

    files.save("Q-0.pdf", ContentFile(b"paper"))
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        files.save("Q-1.pdf", ContentFile(b"paper"))
    assert kept(files) == ["Q-0.pdf"]


def test_the_file_is_synced_before_it_has_its_name_and_its_folder_after(files, monkeypatch):
    seen = []
    monkeypatch.setattr(
        os, "fsync", lambda number: seen.append((os.path.isdir(f"/proc/self/fd/{number}"),
                                                 files.exists("Q-1.pdf")))
    )  # fmt: skip
    files.save("Q-0.pdf", ContentFile(b"paper"))
    seen.clear()
    files.save("Q-1.pdf", ContentFile(b"paper"))
    assert seen == [(False, False), (True, True)]
