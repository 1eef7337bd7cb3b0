"""How papers and photos are kept on a disk: whole and safe from a power cut, or not at all."""

import os
from contextlib import suppress
from pathlib import Path
from tempfile import NamedTemporaryFile

from django.core.files import File
from django.core.files.storage import FileSystemStorage

from shop.launch.folders import make_lasting

UNFINISHED = ".unfinished-"


class KeptFiles(FileSystemStorage):
    """Writes a file under another name, and gives it its own once all of it is on the disk.

    A row that names a file is only written after that, so no row ever names half a file.
    """

    def _save(self, name: str, content: File) -> str:
        target = Path(self.path(name))
        self._make_folder(target.parent)
        unfinished = self._write(target.parent, content)
        try:
            target = self._claim_name(target)
            unfinished.replace(target)
        except BaseException:
            unfinished.unlink(missing_ok=True)
            raise
        make_lasting(target.parent)
        return self._name_of(target)

    def _write(self, folder: Path, content: File) -> Path:
        with NamedTemporaryFile(dir=folder, prefix=UNFINISHED, delete=False) as written:
            try:
                for chunk in content.chunks():
                    written.write(chunk)
                written.flush()
                os.fsync(written.fileno())
            except BaseException:
                with suppress(OSError):
                    os.unlink(written.name)
                raise
        return Path(written.name)

    def _claim_name(self, target: Path) -> Path:
        """Take the name, or the next free one, by an empty file: no file is ever replaced."""
        while True:
            try:
                target.touch(mode=0o600, exist_ok=False)
            except FileExistsError:
                target = Path(self.path(self.get_available_name(self._name_of(target))))
            else:
                return target

    def _name_of(self, path: Path) -> str:
        return path.relative_to(self.location).as_posix()

    def _make_folder(self, folder: Path) -> None:
        missing = [one for one in (folder, *folder.parents) if not one.exists()]
        for one in reversed(missing):
            one.mkdir(mode=0o700, exist_ok=True)
            make_lasting(one.parent)
