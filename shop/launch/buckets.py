"""Reads the line that names a bucket for papers and photos."""

from typing import Any
from urllib.parse import parse_qs, urlsplit

from shop.launch.telling import Problem

ASKED = {"endpoint": "endpoint_url", "region": "region_name"}


def kept_in_a_bucket(line: str) -> dict[str, Any]:
    """Return Django's storage setting for `s3://BUCKET/FOLDER?endpoint=URL&region=NAME`.

    Who may open it is told to the library by AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY, or by
    its own files. Raises Problem for a line that says something else.
    """
    parts = urlsplit(line)
    asked = {name: given[-1] for name, given in parse_qs(parts.query).items()}
    if parts.scheme != "s3" or not parts.hostname or asked.keys() - ASKED.keys():
        raise Problem(
            f"GRAMIL_MEDIA is {line}, which names no bucket: write "
            "s3://BUCKET/FOLDER?endpoint=https://objects.example&region=NAME, the parts after "
            "BUCKET where they are needed."
        )
    options = {"bucket_name": parts.netloc, "location": parts.path.strip("/")}
    options |= {ASKED[name]: given for name, given in asked.items()}
    return {"BACKEND": "shop.base.keeping.objects.ObjectFiles", "OPTIONS": options}
