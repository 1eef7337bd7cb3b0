"""How the files of the pages are kept once gathered: under lasting names, the shop's compressed."""

from collections.abc import Iterable, Iterator

from whitenoise.storage import CompressedManifestStaticFilesStorage

OWN = "shop/"


class PageFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Compresses the program's own files only: those of libraries would make a start take long."""

    def compress_files(self, paths: Iterable[str]) -> Iterator[tuple[str, str]]:
        found: Iterator[tuple[str, str]] = super().compress_files(
            [path for path in paths if path.startswith(OWN)]
        )
        return found
