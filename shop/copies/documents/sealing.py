"""Copies locked with a passphrase, by the age format (age-encryption.org/v1) of a library.

The passphrase opens a key that was made for this one file, and the key the rest, so that a large
copy needs no more memory than a small one.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import BinaryIO

from django.conf import settings

from inventory.base.refusals import Refusal

MARK = b"gramil locked copy 1\n"


class WrongPassphrase(Refusal):
    """The passphrase does not open the copy, or the copy is damaged."""


def passphrase_in(file: str) -> str:
    """Return the passphrase that a file holds, or nothing where no file is named.

    Raises Refusal where it can't be read or is empty.
    """
    if not file:
        return ""
    try:
        said = Path(file).read_text(encoding="utf-8").strip()
    except OSError as error:
        raise Refusal(f"The passphrase can't be read: {error}.") from None
    if not said:
        raise Refusal(f"{file} holds no passphrase. Write one into it.")
    return said


def is_sealed(path: Path) -> bool:
    """Say whether a file was written by `seal`."""
    with path.open("rb") as file:
        return file.read(len(MARK)) == MARK


def seal(plain: Path, sealed: BinaryIO, passphrase: str) -> None:
    """Write the content of `plain` to `sealed` so that only `passphrase` opens it."""
    from pyrage import encrypt_io, x25519
    from pyrage import passphrase as by_passphrase

    key = x25519.Identity.generate()
    locked_key = by_passphrase.encrypt(str(key).encode(), passphrase)
    sealed.write(MARK + len(locked_key).to_bytes(4, "big") + locked_key)
    with plain.open("rb") as content:
        encrypt_io(content, sealed, [key.to_public()])


def unseal(sealed: Path, plain: BinaryIO, passphrase: str) -> None:
    """Write what `seal` locked to `plain`. Raises WrongPassphrase."""
    from pyrage import DecryptError, decrypt_io, x25519
    from pyrage import passphrase as by_passphrase

    with sealed.open("rb") as file:
        file.read(len(MARK))
        locked_key = file.read(int.from_bytes(file.read(4), "big"))
        try:
            key = by_passphrase.decrypt(locked_key, passphrase)
            decrypt_io(file, plain, [x25519.Identity.from_str(key.decode())])
        except (DecryptError, OSError, ValueError) as error:
            raise WrongPassphrase(
                f"This passphrase does not open {sealed}, or the file is damaged ({error})."
            ) from None


@contextmanager
def unsealed(file: Path, passphrase: str) -> Iterator[Path]:
    """Yield a copy that can be read: itself, or what its passphrase opens, which goes afterwards.

    Raises Refusal where it is locked and no passphrase is given, and WrongPassphrase.
    """
    if not is_sealed(file):
        yield file
        return
    if not passphrase:
        raise Refusal(f"{file} is locked. Give its passphrase with --passphrase-file.")
    with TemporaryDirectory(prefix="copy-", dir=settings.DATA_DIR) as scratch:
        plain = Path(scratch) / "copy.zip"
        plain.touch(mode=0o600)
        with plain.open("wb") as opened:
            unseal(file, opened, passphrase)
        yield plain
