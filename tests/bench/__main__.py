"""Runs the benchmarks on a database of their own, which is thrown away afterwards."""

import argparse
import importlib
import logging
import os
import sys
import tempfile

SUBJECTS = ("stock", "quotes", "hours", "estimates", "queue", "years", "processes")


def main() -> None:
    parser = argparse.ArgumentParser(prog="manage.py bench", description=__doc__)
    parser.add_argument(
        "subjects", nargs="*", default=SUBJECTS, help="one of them or several; all without"
    )
    options = parser.parse_args()
    unknown = set(options.subjects) - set(SUBJECTS)
    if unknown:
        sys.exit(
            f"There is no benchmark {', '.join(sorted(unknown))}: choose {', '.join(SUBJECTS)}."
        )
    with tempfile.TemporaryDirectory(prefix="gramil-bench-") as folder:
        os.environ["GRAMIL_DATA"] = folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
        run(options.subjects)


def run(subjects: list[str]) -> None:
    import django

    django.setup()
    logging.disable(logging.WARNING)  # addresses are tried, and not all have a page
    from django.conf import settings
    from django.db import connection
    from django.test.utils import setup_databases, teardown_databases

    from tests.bench.timing import table

    settings.ALLOWED_HOSTS.append("testserver")
    for subject in subjects:
        print(f"\n{subject}, on {connection.vendor}", flush=True)
        measured = importlib.import_module(f"tests.bench.{subject}")
        # A database for each: what one subject grows would stand in the way of the next.
        made = setup_databases(verbosity=0, interactive=False)
        try:
            print(getattr(measured, "table", table)(measured.bench()), flush=True)
        finally:
            teardown_databases(made, verbosity=0)


if __name__ == "__main__":
    main()
