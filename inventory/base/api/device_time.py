"""Times that a device tells: in the body when it happened, in a header what its clock says now."""

from datetime import datetime

from django.utils import timezone
from django.utils.dateparse import parse_datetime
from drf_spectacular.utils import OpenApiParameter
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request

from inventory.base.calc.device_time import Moment, to_server_time

HEADER = "Device-Time"
NEVER_SET, EARLIEST = 1969, 2000
"""Years: where a clock stands that was never set, and the first of which anything is told."""
DEVICE_TIME = OpenApiParameter(
    HEADER,
    # No date-time by name: client generators leave out operations with such a header.
    type={"type": "string", "example": "2027-03-16T08:40:00Z"},
    location=OpenApiParameter.HEADER,
    description=(
        "The device's clock when it sends the request, as RFC 3339 with its zone. If it is off "
        "by more than a minute, the times in the body are corrected."
    ),
)


def moment_of(request: Request, told: datetime | None) -> Moment:
    """Return the instant `told` by the server's clock, or now when nothing was told."""
    received = timezone.now()
    if told is None:
        return Moment(at=received)
    moment = to_server_time(told, sent=device_time(request), received=received)
    if told.year < NEVER_SET:
        check_likely(told)
    check_likely(moment.at)
    return moment


def check_likely(at: datetime) -> None:
    """Raise ValidationError for an instant at which nothing that is told can have happened."""
    if at.year < EARLIEST:
        raise ValidationError(f"This can't have happened at {at.isoformat()}.")


def device_time(request: Request) -> datetime | None:
    """Return what the device's clock says, or None. Raises ValidationError when unreadable."""
    written = request.headers.get(HEADER, "")
    if not written:
        return None
    try:
        read = parse_datetime(written)
    except ValueError:
        read = None
    if read is None or read.tzinfo is None:
        raise ValidationError(
            {HEADER: f"“{written}” is not a time with a time zone, such as 2027-03-16T08:40:00Z."}
        )
    return read
