"""The page of a year's hours."""

from datetime import MAXYEAR, MINYEAR, date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from shop.pages.estimate_pictures import into_of, months_of
from shop.queries.year import year_record


def hours_year(request: HttpRequest, year: int) -> HttpResponse:
    """Show where the hours of a year went."""
    if not MINYEAR < year < MAXYEAR:
        raise Http404
    record = year_record(year)
    context = {
        "record": record,
        "before": year - 1,
        "after": year + 1,
        "first_day": date(year, 1, 1),
        "months": [(date(year, one.month, 1), one) for one in record.months],
    }
    if record.minutes:
        context |= {
            "picture": into_of(record.into),
            "months_picture": months_of(record),
            "stages_picture": into_of(record.stages),
        }
    return render(request, "shop/hours_year.html", context)
