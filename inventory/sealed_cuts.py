"""A cutting plan sealed, so that it travels through a page or a client and comes back unchanged."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from decimal import Decimal
from typing import Any

from django.core import signing

from inventory.arrivals import PieceFacts
from inventory.cuts import CutJob, CutPart
from inventory.models import Lot, Material
from inventory.refusals import Refusal

SALT = "cutting plan"
KEPT_SECONDS = 24 * 3600


def seal(jobs: Sequence[CutJob]) -> str:
    """Write a plan so that it can travel through a page and come back unchanged."""
    return signing.dumps([_plain_job(job) for job in jobs], salt=SALT, compress=True)


def unseal(sealed: str) -> list[CutJob]:
    """Read a sealed plan. Raises Refusal when it was changed, or its stock is gone."""
    try:
        rows = signing.loads(sealed, salt=SALT, max_age=KEPT_SECONDS)
    except signing.BadSignature:
        raise Refusal("This plan can't be read any more. Plan it again.") from None
    keys = {part["material"] for row in rows for part in [*row["parts"], *row["remnants"]]}
    materials = Material.objects.select_related("family").in_bulk(keys)
    lots = Lot.objects.select_related("material").in_bulk({row["lot"] for row in rows})
    try:
        return [_job(row, lots, materials) for row in rows]
    except KeyError:
        raise Refusal("What this plan was made for is gone. Plan it again.") from None


def _plain_job(job: CutJob) -> dict[str, Any]:
    return {
        "lot": job.lot.pk,
        "quantity": str(job.quantity),
        "usable": str(job.usable),
        "parts": [_plain_part(part) for part in job.parts],
        "remnants": [_plain_part(part) for part in job.remnants],
    }


def _plain_part(part: CutPart) -> dict[str, Any]:
    facts = {
        name: value if isinstance(value, bool | int) else str(value)
        for name, value in asdict(part.piece).items()
        if value not in {None, ""}
    }
    return {
        "material": part.material.pk,
        "measure": str(part.measure),
        "quantity": str(part.quantity),
        "facts": facts,
    }


def _job(row: dict[str, Any], lots: dict[int, Lot], materials: dict[int, Material]) -> CutJob:
    return CutJob(
        lot=lots[row["lot"]],
        quantity=Decimal(row["quantity"]),
        usable=Decimal(row["usable"]),
        parts=tuple(_part(part, materials) for part in row["parts"]),
        remnants=tuple(_part(part, materials) for part in row["remnants"]),
    )


def _part(row: dict[str, Any], materials: dict[int, Material]) -> CutPart:
    facts = dict(row["facts"])
    for name in facts.keys() & {"length_mm", "width_mm", "thickness_mm", "mass_g"}:
        facts[name] = Decimal(facts[name])
    if "felled_on" in facts:
        facts["felled_on"] = date.fromisoformat(facts["felled_on"])
    return CutPart(
        material=materials[row["material"]],
        measure=Decimal(row["measure"]),
        quantity=Decimal(row["quantity"]),
        piece=PieceFacts(**facts),
    )
