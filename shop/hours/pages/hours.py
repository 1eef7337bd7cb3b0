"""Pages of hours: a day, a week, a month, a year, one entry."""

from datetime import MAXYEAR, MINYEAR, date, timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inventory.base.calc.days import day_words
from inventory.base.calc.hours import format_minutes
from inventory.base.pages import refusals_on, render_form
from shop.hours.forms import CorrectionForm, HoursForm, TypedHoursForm
from shop.hours.pages.pictures import into_of, months_of
from shop.hours.queries.clock import in_full
from shop.hours.queries.hours import day_record, days_of, monday_of, span_record
from shop.hours.queries.year import year_record
from shop.hours.services.entries import catch_up_hours, correct_hours, log_hours
from shop.models import TimeEntry

ONE_DAY, ONE_WEEK = timedelta(days=1), timedelta(days=7)
MEANT_BY = {
    "day": {"day"},
    "minutes": {"length"},
    "started_at": {"day", "began_at"},
    "work": {"builds", "stage", "split_by", "parts"},
    "split_by": {"builds", "stage", "split_by", "parts"},
    "is_billable": {"reason"},
    "reason": {"reason"},
    "is_remake": {"is_remake"},
    "note": {"note"},
}
"""Which fields of the form change which argument of `correct_hours`."""


def hours(request: HttpRequest) -> HttpResponse:
    """Show today."""
    return hours_day(request, timezone.localdate())


def hours_day(request: HttpRequest, day: date) -> HttpResponse:
    """Show a day that adds up, and log hours by a line or field by field."""
    line = TypedHoursForm(request.POST if "line" in request.POST else None)
    form = HoursForm(
        request.POST if "length" in request.POST else None,
        initial={"day": day, "builds": request.GET.getlist("build")},
    )
    if request.method == "POST":
        entry = _log(request, line, form)
        if entry:
            messages.success(request, f"{format_minutes(entry.minutes)} logged.")
            return redirect("hours_day", entry.day)
    context = {
        "day": day,
        "record": day_record(day),
        "line": line,
        "form": form,
        "before": day - ONE_DAY,
        "after": day + ONE_DAY,
        "monday": monday_of(day),
        "is_today": day == timezone.localdate(),
    }
    status = 422 if line.errors or form.errors else 200
    return render(request, "shop/hours/hours_day.html", context, status=status)


def _log(request: HttpRequest, line: TypedHoursForm, form: HoursForm) -> TimeEntry | None:
    """Log what either form says; on a refusal put its sentence there and return nothing."""
    now = timezone.now()
    used = line if line.is_bound else form
    if not used.is_valid():
        return None
    with refusals_on(used):
        if used is line:
            return catch_up_hours(
                person=request.user,
                line=line.cleaned_data["line"],
                on=timezone.localtime(now).date(),
                now=now,
            )
        person = form.cleaned_data["person"] or request.user
        return log_hours(person=person, now=now, **_given(form))
    return None


def _given(form: HoursForm) -> dict[str, Any]:
    given = form.cleaned_data
    return {
        "day": given["day"],
        "minutes": given["length"],
        "started_at": form.started_at(),
        "work": form.work(),
        "split_by": form.way_of_sharing(),
        "is_billable": not given["reason"],
        "reason": given["reason"],
        "is_remake": given["is_remake"],
        "note": given["note"],
    }


def hours_week(request: HttpRequest, day: date) -> HttpResponse:
    """Show the week that `day` is in."""
    monday = monday_of(day)
    record = span_record(monday, monday + 6 * ONE_DAY)
    context = {
        "record": record,
        "days": days_of(record),
        "before": monday - ONE_WEEK,
        "after": monday + ONE_WEEK,
        "title": f"Week of {day_words(monday)}",
        "page": "hours_week",
    }
    return render(request, "shop/hours/hours_span.html", context)


def hours_month(request: HttpRequest, day: date) -> HttpResponse:
    """Show the month that `day` is in."""
    first = day.replace(day=1)
    after = (first + timedelta(days=31)).replace(day=1)
    record = span_record(first, after - ONE_DAY)
    context = {
        "record": record,
        "days": [row for row in days_of(record) if row[1]],
        "before": (first - ONE_DAY).replace(day=1),
        "after": after,
        "title": f"{first:%B %Y}",
        "page": "hours_month",
    }
    return render(request, "shop/hours/hours_span.html", context)


def hours_entry(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one entry with its corrections, and put it right."""
    entry = get_object_or_404(in_full(TimeEntry.objects.all()), pk=pk)
    form = CorrectionForm(request.POST or None, entry=entry)
    if form.is_valid():
        with refusals_on(form):
            _correct(request, entry, form)
            return redirect("hours_day", form.cleaned_data["day"])
    context = {"entry": entry, "form": form, "corrections": entry.corrections.all()}
    return render_form(request, "shop/hours/hours_entry.html", context)


def _correct(request: HttpRequest, entry: TimeEntry, form: CorrectionForm) -> None:
    """Apply what was changed in the form, and nothing else: seconds and shares by hand stay."""
    changed = set(form.changed_data)
    given = {name: value for name, value in _given(form).items() if MEANT_BY[name] & changed}
    if "started_at" in given:
        given["minutes"] = form.cleaned_data["length"]
    correct_hours(
        entry=entry, now=timezone.now(), user=request.user, why=form.cleaned_data["why"], **given
    )


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
    return render(request, "shop/hours/hours_year.html", context)
