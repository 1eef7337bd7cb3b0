"""Photos of pieces and lots."""

from collections.abc import Collection

from inventory.models import Photo


def first_photos(lots: Collection[int | None]) -> list[Photo]:
    """Return the first photo of each lot, given by its key, in the order of the keys."""
    found: dict[int, Photo] = {}
    for photo in Photo.objects.filter(lot__in=[key for key in lots if key]):
        found.setdefault(photo.lot_id, photo)
    return [found[key] for key in lots if key in found]
