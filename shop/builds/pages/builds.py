"""Pages of builds: the list, the bench, the hours, the notes and what changes their state."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.lists import asks_for_file, in_order, in_parts, list_file, listing
from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from shop.builds.forms import BeginForm, BuildForm, BuildNoteForm
from shop.builds.queries.build_list import BuildsAsked, builds_asked_for
from shop.builds.queries.builds import build_rows
from shop.builds.queries.job_card import agreed_changes_of
from shop.builds.services.edit import add_build_note, edit_build, release_photo
from shop.builds.services.end import cancel_build, close_build, finish_build
from shop.builds.services.enter import begin_build
from shop.builds.services.stock import reserve_for_build
from shop.builds.tables import build_columns
from shop.calendar.queries import latest_plan
from shop.estimates.services import leave_out_of_estimates
from shop.hours.queries.clock import in_full
from shop.hours.queries.hours import hours_by_stage
from shop.models import Build, BuildNote, BuildStage, BuildState, TimeEntry
from shop.stages.services import finish_stage, reopen_stage, start_stage

PAGE = 50
ACTS: dict[str, Callable[..., Any]] = {
    "finish": finish_build,
    "close": close_build,
    "cancel": cancel_build,
}

STAGE_ACTS: dict[str, Callable[..., Any]] = {"start": start_stage, "finish": finish_stage}


def builds(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """List builds: the open ones, those of one state, or those that a word is found in."""
    state, word = request.GET.get("state", ""), request.GET.get("q", "").strip()
    asked = BuildsAsked(state=state, word=word, late_on=_late_on(request))
    rows, columns = builds_asked_for(asked), build_columns()
    if asks_for_file(request):
        told = in_parts(in_order(request, rows, columns), build_rows)
        return list_file("builds", told, columns, timezone.localdate())
    shown = listing(request, rows, columns)
    context = {
        "list": shown,
        "rows": build_rows(list(shown.page)),
        "state": state,
        "word": word,
        "late": asked.late_on is not None,
        "states": BuildState.choices,
        "today": timezone.localdate(),
    }
    return render(request, "shop/builds/builds.html", context)


def _late_on(request: HttpRequest) -> date | None:
    return timezone.localdate() if request.GET.get("late") else None


def build_new(request: HttpRequest) -> HttpResponse:
    """Begin a build straight from its template."""
    form = BeginForm(request.POST or None, initial={"template": request.GET.get("template")})
    if form.is_valid():
        now = timezone.now()
        row = begin_build(now=now, made_on=timezone.localtime(now).date(), **form.cleaned_data)
        reserve_for_build(build=row, now=now)
        return redirect("build_material", row.pk)
    return render_form(request, "shop/builds/build_new.html", {"form": form})


def build(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the bench side of a build: its stages and its hours."""
    row = find_build(pk)
    stages = hours_by_stage(row)
    changes = agreed_changes_of([row], timezone.localdate()).get(row.pk, ())
    context = {
        "build": row,
        "unpaid": {stage for change in changes if change.waits for stage in change.stages},
        "stages": stages,
        "planned": sum(one.planned_minutes for one in stages),
        "worked": sum(one.minutes for one in stages),
        "latest": latest_plan(row, stages),
        "today": timezone.localdate(),
        "tabs": tabs_of(row, "build"),
    }
    return render(request, "shop/builds/build.html", context)


def build_hours(request: HttpRequest, pk: int) -> HttpResponse:
    """Show every time entry of a build."""
    row = find_build(pk)
    entries = in_full(TimeEntry.objects.filter(shares__build=row).distinct())
    page = Paginator(entries, PAGE).get_page(request.GET.get("page"))
    context = {"build": row, "page": page, "tabs": tabs_of(row, "build_hours")}
    return render(request, "shop/builds/build_hours.html", context)


def build_notes(request: HttpRequest, pk: int) -> HttpResponse:
    """Show notes and photos, and add one."""
    row = find_build(pk)
    form = BuildNoteForm(request.POST or None, request.FILES or None, build=row)
    if request.method == "POST" and form.is_valid():
        with refusals_on(form):
            add_build_note(build=row, now=timezone.now(), user=request.user, **form.cleaned_data)
            return redirect("build_notes", pk)
    notes = row.notes.select_related("stage", "made_by")
    context = {"build": row, "form": form, "notes": notes, "tabs": tabs_of(row, "build_notes")}
    return render_form(request, "shop/builds/build_notes.html", context)


def build_photo(request: HttpRequest, pk: int) -> FileResponse:
    """Send the photo of a note."""
    note = get_object_or_404(BuildNote, pk=pk)
    if not note.photo:
        raise Http404
    return FileResponse(note.photo.open(), content_type="image/jpeg")


@require_POST
def release_build_photo(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a photo on the client's page, or take it off."""
    note = get_object_or_404(BuildNote.objects.exclude(photo=""), pk=pk)
    release_photo(note=note, to_client=not note.is_released)
    return redirect("build_notes", note.build_id)


def small_build_photo(request: HttpRequest, pk: int) -> FileResponse:
    """Send the photo of a note as small as a list needs it, or itself where no small one is."""
    note = get_object_or_404(BuildNote.objects.exclude(photo=""), pk=pk)
    return FileResponse((note.small or note.photo).open(), content_type="image/jpeg")


def build_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what a build is called and which batch it belongs to."""
    row = find_build(pk)
    form = BuildForm(request.POST or None, instance=row)
    if form.is_valid():
        given = form.cleaned_data
        edit_build(build=row, changes=given, batch_name=given["batch_name"])
        return redirect("build", pk)
    context = {"form": form, "build": row, "title": f"Edit {row.serial}"}
    return render_form(request, "shop/builds/build_form.html", context)


@require_POST
def build_act(request: HttpRequest, pk: int, act: str) -> HttpResponse:
    """Finish, close or cancel a build."""
    row = get_object_or_404(Build, pk=pk)
    if act not in ACTS:
        raise Http404
    try:
        ACTS[act](build=row, now=timezone.now())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("build", pk)


@require_POST
def stage_act(request: HttpRequest, pk: int, act: str) -> HttpResponse:
    """Start, finish or take up again a stage."""
    stage = get_object_or_404(BuildStage.objects.select_related("build"), pk=pk)
    if act == "reopen":
        reopen_stage(stage=stage)
    elif act in STAGE_ACTS:
        STAGE_ACTS[act](stage=stage, now=timezone.now())
    else:
        raise Http404
    return redirect("build", stage.build_id)


@require_POST
def stage_set_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Count a stage in estimates, or leave it out; the undo does it once more."""
    stage = get_object_or_404(BuildStage.objects.select_related("build"), pk=pk)
    aside = not stage.is_set_aside
    leave_out_of_estimates(build=stage.build, is_set_aside=aside, stages=[pk])
    told = "left out of estimates." if aside else "included in estimates."
    undo = reverse("stage_set_aside", args=[pk])
    messages.success(request, f"{stage} {told}", extra_tags=undo)
    return redirect("build", stage.build_id)


def find_build(pk: int) -> Build:
    """Return one build with its template and batch, or answer that there is none."""
    return get_object_or_404(Build.objects.select_related("template", "batch"), pk=pk)


def tabs_of(build: Build, here: str) -> list[tuple[str, str, bool]]:
    """Return the tabs of a build's pages."""
    names = [
        ("Bench", "build"),
        ("Material", "build_material"),
        ("Hours", "build_hours"),
        ("Set-up", "build_setup"),
        ("Notes", "build_notes"),
        ("Days lost", "lost_days"),
    ]
    return [(word, reverse(name, args=[build.pk]), name == here) for word, name in names]
