"""Power cuts, kills, full disks, damaged files: what a workshop's only books have to outlive."""

import os

IS_WHOLE = os.environ.get("GRAMIL_CHAOS") == "whole"
"""Set by `manage.py test chaos`; without it everything is tried a few times only."""


def times(few, whole):
    """Return how often to try: `few` in every run, `whole` in the run that is about chaos."""
    return whole if IS_WHOLE else few
