"""The queue, moved and promised from; what it says on other pages."""

from collections.abc import Callable, Sequence
from datetime import date

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from inventory.base.roles import BENCH_ROLES, role_of
from shop.base.pictures.shapes import Picture
from shop.models import Build
from shop.queue.forms import BlockForm, PromiseForm, QueuePlaceForm
from shop.queue.pictures import Lane, Stretch, queue_picture
from shop.queue.queries.days import day_list
from shop.queue.queries.forecast import BuildForecast, QueueAnswer, moved_since, queue_on
from shop.queue.queries.promises import scored_months, track_record
from shop.queue.services import (
    block_build,
    move_build,
    order_queue,
    promise_day,
    refresh_queue,
)

PAGE = 25
"""Builds on a page of the queue: more lanes than that are read by nobody at once."""


def queue(request: HttpRequest) -> HttpResponse:
    """Show every open build over the coming weeks, and the order they are worked on in."""
    on = timezone.localdate()
    try:
        answer = queue_on(on)
    except Refusal as refusal:
        return render_form(request, "shop/queue/queue.html", {"refusal": refusal})
    page = page_of(request, answer)
    context = {
        "rows": list(page),
        "page": page,
        "answer": answer,
        "on": on,
        "last": len(answer.rows),
        "may_keep": may_keep(request),
    }
    if answer.rows:
        context["picture"] = picture_of(answer, rows=list(page))
    return render(request, "shop/queue/queue.html", context)


def page_of(request: HttpRequest, answer: QueueAnswer) -> Page[tuple[Build, BuildForecast]]:
    """Return the builds of the queue on the page that is asked for."""
    return Paginator(answer.rows, PAGE).get_page(request.GET.get("page"))


def may_keep(request: HttpRequest) -> bool:
    """Say whether whoever looks may also have the forecast kept: a viewer's page posts nothing."""
    return role_of(request.user) in BENCH_ROLES


def picture_of(
    answer: QueueAnswer,
    more: Sequence[Lane] = (),
    rows: Sequence[tuple[Build, BuildForecast]] | None = None,
) -> Picture:
    """Draw the queue, or only `rows` of it, and more lanes below it."""
    on = answer.books.on
    drawn = answer.rows if rows is None else rows
    lanes = [lane_of(f"{build}", one, on, build) for build, one in drawn]
    return queue_picture([*lanes, *more], on)


def lane_of(name: str, forecast: BuildForecast, on: date, build: Build | None = None) -> Lane:
    """Return one lane of the picture; without a build it is a quote that waits for a yes."""
    return Lane(
        name=name,
        says=forecast.says,
        spans=[
            Stretch(
                words=f"{one.name}: {one.starts} to {one.finishes}",
                begins=begins,
                ends=ends,
                free=float((one.free - on).days) if (begins, ends) == one.stretches[-1] else ends,
            )
            for one in forecast.stages
            for begins, ends in one.stretches
        ],
        day_50=forecast.day_50,
        day_80=forecast.day_80,
        day_90=forecast.day_90,
        promised=build.promised_on if build else None,
        faint=build is None,
    )


@require_POST
def queue_keep(request: HttpRequest) -> HttpResponse:
    """Keep what the queue says today, for those who ask tomorrow what changed."""
    try:
        refresh_queue(now=timezone.now())
    except Refusal:
        return HttpResponse(status=204)
    return HttpResponse(status=204)


@require_POST
def queue_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a build on a place."""
    build = get_object_or_404(Build, pk=pk)
    form = QueuePlaceForm(request.POST)
    if not form.is_valid():
        messages.error(request, "A place is a whole number from 1 on.")
        return redirect("queue")
    return _done(request, lambda: move_build(build=build, place=form.cleaned_data["place"]))


@require_POST
def queue_order(request: HttpRequest) -> HttpResponse:
    """Put the builds in the order in which they are sent."""
    keys = request.POST.getlist("build")
    if not all(key.isdecimal() and len(key) < 10 for key in keys) or not keys:
        messages.error(request, "The order could not be read. Load the page again.")
        return redirect("queue")
    return _done(request, lambda: order_queue(builds=[int(key) for key in keys]))


def queue_block(request: HttpRequest, pk: int) -> HttpResponse:
    """Say before which day a build can't go on, and why."""
    build = get_object_or_404(Build.objects.select_related("queue_place"), pk=pk)
    place = getattr(build, "queue_place", None)
    initial = {"not_before": place.not_before, "waits_for": place.waits_for} if place else {}
    form = BlockForm(request.POST or None, initial=initial)
    if form.is_valid():
        with refusals_on(form):
            block_build(build=build, **form.cleaned_data)
            return redirect("queue")
    return _form(request, build, form, f"What {build.serial} waits for")


def queue_promise(request: HttpRequest, pk: int) -> HttpResponse:
    """Promise a day, with the chance that the queue gives it kept beside it."""
    build = get_object_or_404(Build, pk=pk)
    form = PromiseForm(request.POST or None, initial={"day": build.promised_on})
    if form.is_valid():
        with refusals_on(form):
            kept = promise_day(build=build, now=timezone.now(), **form.cleaned_data)
            chance = "" if kept.chance is None else f", kept in {kept.chance:.0%}".rstrip("%")
            messages.success(request, f"Promised{chance} of 100 cases." if chance else "Promised.")
            return redirect("build", pk)
    return _form(request, build, form, f"Promise a date for {build.serial}")


def build_forecast(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what the queue says of one build, on its page."""
    build = get_object_or_404(Build, pk=pk)
    if not build.is_open:
        return HttpResponse("")
    on = timezone.localdate()
    try:
        forecast = queue_on(on).of(build)
    except Refusal as refusal:
        context = {"build": build, "refusal": refusal}
        return render(request, "shop/queue/build_forecast.html", context)
    moved = moved_since(build, on, forecast) if forecast else None
    context = {"build": build, "forecast": forecast, "moved": moved}
    return render(request, "shop/queue/build_forecast.html", context)


def queue_today(request: HttpRequest) -> HttpResponse:
    """Show the lists of the day, on the page of the day."""
    try:
        answer = queue_on(timezone.localdate())
    except Refusal as refusal:
        return render(request, "shop/queue/today.html", {"refusal": refusal})
    context = {"day": day_list(answer), "answer": answer, "may_keep": may_keep(request)}
    return render(request, "shop/queue/today.html", context)


def promises(request: HttpRequest) -> HttpResponse:
    """Show promised days and what came of them."""
    context = {"record": track_record(), "months": scored_months(timezone.localdate())}
    return render(request, "shop/queue/promises.html", context)


def _done(request: HttpRequest, act: Callable[[], None]) -> HttpResponse:
    try:
        act()
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("queue")


def _form(request: HttpRequest, build: Build, form: object, title: str) -> HttpResponse:
    if not build.is_open:
        raise Http404
    context = {"build": build, "form": form, "title": title}
    status = 422 if getattr(form, "errors", None) else 200
    return render(request, "shop/queue/queue_form.html", context, status=status)
