"""How papers and photos are kept in a bucket that several machines reach."""

import os
from errno import ENOENT
from typing import Any

from botocore.exceptions import ClientError
from django.conf import settings
from django.core.files import File
from storages.backends.s3 import S3Storage

MOST_TRIES = 20
TAKEN = {"PreconditionFailed", "ConditionalRequestConflict"}


class ObjectFiles(S3Storage):  # type: ignore[misc]  # the library has no types
    """Puts a file into the bucket under a name that nobody took meanwhile: none is ever replaced.

    The bucket takes it whole or not at all, and answers once it is kept, before a row names it.
    """

    def get_default_settings(self) -> dict[str, Any]:
        # Nobody reads the bucket by a link: each file is sent by a page that asks who it is.
        plain: dict[str, Any] = super().get_default_settings()
        return plain | {"file_overwrite": False, "default_acl": None, "querystring_auth": True}

    def _open(self, name: str, mode: str = "rb") -> File:
        try:
            found: File = super()._open(name, mode)
        except FileNotFoundError:
            # Named as it would be on a disk, so that a page says that a kept file is missing.
            missing = os.path.join(settings.MEDIA_ROOT, name)
            raise FileNotFoundError(ENOENT, "not in the bucket", missing) from None
        return found

    def _save(self, name: str, content: File) -> str:
        for _ in range(MOST_TRIES):
            try:
                self._put(name, content)
            except ClientError as error:
                if error.response["Error"]["Code"] not in TAKEN:
                    raise
                name = self.get_available_name(name)
            else:
                return name
        raise OSError(f"Every name that was tried for {name} is taken.")

    def _put(self, name: str, content: File) -> None:
        """Put a file of this name into the bucket in one request, unless there is one already."""
        content.seek(0)
        key = self._normalize_name(name)
        told = self._get_write_parameters(key, content)
        self.bucket.Object(key).put(Body=content.read(), IfNoneMatch="*", **told)
