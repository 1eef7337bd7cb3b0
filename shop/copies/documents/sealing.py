"""Copies locked with a passphrase, by the age format (age-encryption.org/v1) of a library.

The passphrase opens a key that was made for this one file, and the key the rest, so that a large
copy needs no more memory than a small one.
"""

import io
from pathlib import Path
from typing import BinaryIO

MARK = b"gramil locked copy 1\n"


class WrongPassphrase(Exception):
    """The passphrase does not open the copy, or the copy is damaged."""


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
            decrypt_io(io.BufferedReader(file), plain, [x25519.Identity.from_str(key.decode())])
        except (DecryptError, OSError, ValueError) as error:
            raise WrongPassphrase(
                f"This passphrase does not open {sealed}, or the file is damaged ({error})."
            ) from None
