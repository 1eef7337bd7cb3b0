"""Pages of a build's material: what it needs, what is put aside, drawn, brought back and lost."""

from typing import Any

from django.contrib import messages
from django.forms import BaseForm
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from inventory.base.pages import notify, refusals_on, render_form
from inventory.base.refusals import Refusal
from inventory.ledger.refusals import quantity_in_words
from inventory.models import Material
from inventory.shelf.queries.one_material import still_out
from shop.builds.forms import (
    AssignMaterialForm,
    DrawForBuildForm,
    QuantityForm,
    ScrapForBuildForm,
    until_now,
)
from shop.builds.pages.builds import find_build, tabs_of
from shop.builds.queries.draws import draws_of
from shop.builds.queries.needs import BuildNeed, drawn_costs, named_shortages, needs_of
from shop.builds.services.draw_stage import draw_stage
from shop.builds.services.stock import (
    assign_material,
    draw_for_build,
    reserve_for_build,
    return_from_build,
    scrap_for_build,
)
from shop.models import Build, BuildDraw, BuildLine, BuildStage
from shop.pieces.pages import MOST_SHOWN, first_asked, first_tabs, piece_asked
from shop.pieces.queries import shelf_of, stand_ins

MOST_DIGITS = 19
"""No key of a row is longer; what is longer no database reads."""


def build_material(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a build needs line by line, and every draw."""
    row = find_build(pk)
    needs = needs_of([row])
    context = {
        "build": row,
        "needs": needs,
        "groups": _by_stage(needs),
        "short": named_shortages(needs, timezone.localdate()) if row.is_open else [],
        "draws": draws_of(row),
        "planned_cost": sum(need.line.planned_cost for need in needs),
        **drawn_costs(row),
        "tabs": tabs_of(row, "build_material"),
    }
    return render(request, "shop/builds/build_material.html", context)


def _by_stage(needs: list[BuildNeed]) -> list[tuple[BuildStage | None, bool, list[BuildNeed]]]:
    """Return the lines stage by stage, those of none first; and whether any is still needed."""
    stages = {need.line.stage_id: need.line.stage for need in needs}
    order = sorted(stages, key=lambda pk: (stages[pk].position if stages[pk] else -1, pk or 0))  # type: ignore[union-attr]
    grouped = [(stages[pk], [need for need in needs if need.line.stage_id == pk]) for pk in order]
    return [
        (stage, any(one.line.material and one.still_needed for one in lines), lines)
        for stage, lines in grouped
    ]


@require_POST
def build_draw_stage(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw all that a stage still needs, as far as the shelf goes."""
    row = get_object_or_404(Build, pk=pk)
    asked = request.POST.get("stage", "")
    known = asked.isdecimal() and len(asked) < MOST_DIGITS
    stage = row.stages.filter(pk=asked).first() if known else None
    if asked and stage is None:
        raise Http404
    try:
        draws, left = draw_stage(build=row, stage=stage, now=timezone.now(), user=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        short = f" Still short: {', '.join(need.line.name for need in left)}." if left else ""
        lines = len({draw.line_id for draw in draws})
        words = f"{lines} line{'s' if lines != 1 else ''} drawn for {stage or row.serial}.{short}"
        notify(request, words, [draw.entry for draw in draws])
    return redirect("build_material", pk)


@require_POST
def build_put_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Put aside whatever is free of what the build still needs."""
    row = get_object_or_404(Build, pk=pk)
    reserve_for_build(build=row, now=timezone.now())
    short = named_shortages(needs_of([row]), timezone.localdate())
    rest = f" {len(short)} of its lines are still short." if short else " Nothing is short."
    messages.success(request, f"Available stock reserved for {row.serial}.{rest}")
    return redirect("build_material", pk)


def build_piece(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose the piece to put aside for a line, the best one first."""
    line = get_object_or_404(
        BuildLine.objects.select_related("build", "material", "template_line"), pk=pk
    )
    if line.material is None:
        raise Http404
    refusal = ""
    if request.method == "POST":
        try:
            lot = piece_asked(request)
            chosen = {line.position: [lot]} if lot else {}
            reserve_for_build(build=line.build, chosen=chosen, now=timezone.now())
        except Refusal as error:
            refusal = error.sentence
        else:
            return redirect("build_material", line.build_id)
    context = _pieces_for(request, line, line.material) | {
        "build": line.build,
        "refusal": refusal,
        "number_typed": request.POST.get("number", ""),
    }
    return render_form(request, "shop/builds/build_piece.html", context)


def _pieces_for(request: HttpRequest, line: BuildLine, material: Material) -> dict[str, Any]:
    first, on = first_asked(request), timezone.localdate()
    shelf = shelf_of([material], on=on)
    candidates = shelf.candidates(line.template_line, material, first=first)
    [need] = [need for need in needs_of([line.build]) if need.line == line]
    return {
        "line": line,
        "material": material,
        "candidates": candidates,
        "stand_ins": stand_ins(line.template_line, material, on=on, first=first),
        "chosen": need.pieces,
        "is_full": need.pieces and not need.short,
        "tabs": first_tabs(candidates.first),
        "most_shown": MOST_SHOWN,
    }


def build_draw(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw stock for a line of a build, or beyond its lines."""
    row = find_build(pk)
    line = row.lines.select_related("material").filter(pk=request.GET.get("line") or 0).first()
    need = next((need for need in needs_of([row]) if line and need.line == line), None)
    material = _material_asked(request) or _next_material(need)
    if material is None:
        what = AssignMaterialForm(request.GET if "material" in request.GET else None)
        if what.is_valid():
            chosen = {"material": what.cleaned_data["material"].pk}
            query = urlencode(chosen | ({"line": line.pk} if line else {}))
            return redirect(f"{request.path}?{query}")
        context = {"build": row, "form": what, "line": line, "title": "Draw"}
        return render(request, "shop/builds/build_draw_what.html", context)
    form = DrawForBuildForm(request.POST or None, build=row, material=material, need=need)
    if request.method == "POST" and form.is_valid():
        with refusals_on(form):
            _draw(request, row, line, form)
            return redirect("build_material", pk)
    title = f"Draw {material}" + (f" for {line}" if line and str(line) != str(material) else "")
    return _form_page(request, form, title, row, "Draw")


def draw_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring back to the shelf what was not used."""
    draw = _find_draw(pk)
    material = draw.entry.material
    form = QuantityForm(request.POST or None, material=material, most=still_out(draw.entry))
    if form.is_valid():
        with refusals_on(form):
            quantity = form.cleaned_data["quantity"]
            return_from_build(draw=draw, quantity=quantity, now=timezone.now(), user=request.user)
            return redirect("build_material", draw.build_id)
    return _form_page(request, form, f"Return {material}", draw.build, "Return")


def draw_scrap(request: HttpRequest, pk: int) -> HttpResponse:
    """Scrap what was spoilt of a draw."""
    draw = _find_draw(pk)
    material = draw.entry.material
    form = ScrapForBuildForm(request.POST or None, material=material, most=still_out(draw.entry))
    if form.is_valid():
        with refusals_on(form):
            scrap_for_build(
                build=draw.build,
                draw=draw,
                quantity=form.cleaned_data["quantity"],
                why=form.cleaned_data["why"],
                now=timezone.now(),
                user=request.user,
            )
            return redirect("build_material", draw.build_id)
    return _form_page(request, form, f"Scrap {material}", draw.build, "Scrap")


def line_material(request: HttpRequest, pk: int) -> HttpResponse:
    """Say which material of the shop a line means."""
    line = get_object_or_404(BuildLine.objects.select_related("build", "template_line"), pk=pk)
    form = AssignMaterialForm(request.POST or None)
    if form.is_valid():
        with refusals_on(form):
            assign_material(line=line, material=form.cleaned_data["material"])
            return redirect("build_material", line.build_id)
    return _form_page(request, form, f"Material for {line}", line.build, "Save")


def _material_asked(request: HttpRequest) -> Material | None:
    asked = request.GET.get("material", "")
    return Material.objects.filter(pk=asked).first() if asked.isdigit() else None


def _next_material(need: BuildNeed | None) -> Material | None:
    """Return what a line is drawn from: the material of the piece that is put aside for it."""
    if need is None:
        return None
    return need.pieces[0].material if need.pieces else need.line.material


def _draw(
    request: HttpRequest, build: Build, line: BuildLine | None, form: DrawForBuildForm
) -> None:
    now, given = timezone.now(), form.cleaned_data
    draws = draw_for_build(
        build=build,
        line=line,
        material=form.material,
        lot=given["lot"],
        quantity=form.cleaned_data["quantity"],
        stage=given["stage"],
        happened_at=until_now(given["happened_at"], now),
        note=given["note"],
        now=now,
        user=request.user,
    )
    words = quantity_in_words(given["quantity"], form.material)
    messages.success(request, f"{words} of {form.material} drawn.")
    if any(draw.entry.to_reconcile for draw in draws):
        messages.warning(request, "More was drawn than recorded in stock. Count it to reconcile.")


def _find_draw(pk: int) -> BuildDraw:
    rows = BuildDraw.objects.select_related("build", "entry__material", "entry__lot")
    return get_object_or_404(rows, pk=pk)


def _form_page(
    request: HttpRequest, form: BaseForm, title: str, build: Build, do: str
) -> HttpResponse:
    context = {"form": form, "title": title, "build": build, "do": do}
    return render_form(request, "shop/builds/build_form.html", context)
