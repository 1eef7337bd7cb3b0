"""Photos and papers: kept with a lot, shown to whoever may see the stock."""

from typing import Any

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import FormPage, handle_form, notify
from inventory.base.roles import BOOKKEEPER, MAKER, OWNER, allow_roles
from inventory.models import Lot, Material, Paper, Photo
from inventory.paperwork.forms import PaperForm, PhotoForm
from inventory.shelf.pages import trail_of
from inventory.shelf.services.records import add_photo, remove_paper, remove_photo


def new_photo(request: HttpRequest, number: str) -> HttpResponse:
    """Add a picture to a piece or lot."""
    lot = _lot(number)
    form = PhotoForm(request.POST or None, request.FILES or None)

    def act(data: dict[str, Any]) -> str:
        add_photo(lot=lot, upload=data["photo"], note=data["note"], on=timezone.localdate())
        return _page(lot)

    return handle_form(request, form, _form_page(lot, "New photo of", "Save"), act)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def new_paper(request: HttpRequest, number: str) -> HttpResponse:
    """Add a paper to a lot."""
    lot = _lot(number)
    form = PaperForm(request.POST or None, request.FILES or None, instance=Paper(lot=lot))

    def act(data: dict[str, Any]) -> str:
        form.save()
        notify(request, "Document saved. Ask the authority what it has to contain.")
        return _page(lot)

    return handle_form(request, form, _form_page(lot, "New document for", "Save"), act)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def edit_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """Put what is known of a paper right, or give it its file."""
    paper = get_object_or_404(Paper.objects.select_related("lot__material"), pk=pk)
    form = PaperForm(request.POST or None, request.FILES or None, instance=paper)

    def act(data: dict[str, Any]) -> str:
        form.save()
        return _page(paper.lot)

    return handle_form(request, form, _form_page(paper.lot, f"Edit {paper} of", "Save"), act)


@require_POST
@allow_roles(OWNER, MAKER, BOOKKEEPER)
def delete_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw a paper away that belongs elsewhere."""
    paper = get_object_or_404(Paper.objects.select_related("lot"), pk=pk)
    remove_paper(paper=paper)
    notify(request, f"Deleted: {paper}.")
    return redirect(_page(paper.lot))


@require_POST
def delete_photo(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw a picture away."""
    photo = get_object_or_404(Photo.objects.select_related("lot"), pk=pk)
    remove_photo(photo=photo)
    notify(request, "Photo deleted.")
    return redirect(_page(photo.lot))


def photo_file(request: HttpRequest, pk: int) -> FileResponse:
    """The picture itself."""
    return _sent(get_object_or_404(Photo, pk=pk).image, as_attachment=False)


def small_photo_file(request: HttpRequest, pk: int) -> FileResponse:
    """The picture as small as a list needs it; the picture itself where no small one was made."""
    photo = get_object_or_404(Photo, pk=pk)
    return _sent(photo.small or photo.image, as_attachment=False)


def paper_file(request: HttpRequest, pk: int) -> FileResponse:
    """A paper, to be saved and opened outside the browser."""
    return _sent(get_object_or_404(Paper, pk=pk).file, as_attachment=True)


def data_sheet(request: HttpRequest, pk: int) -> FileResponse:
    """A material's safety data sheet."""
    return _sent(get_object_or_404(Material, pk=pk).data_sheet, as_attachment=True)


def _sent(file: FieldFile, *, as_attachment: bool) -> FileResponse:
    if not file or not file.storage.exists(file.name or ""):
        raise Http404
    return FileResponse(file.open("rb"), as_attachment=as_attachment)


def _lot(number: str) -> Lot:
    return get_object_or_404(Lot.objects.select_related("material"), number=number)


def _page(lot: Lot) -> str:
    return reverse("piece", args=[lot.number])


def _form_page(lot: Lot, words: str, do: str) -> FormPage:
    return FormPage(heading=f"{words} {lot}", do=do, back=_page(lot), trail=trail_of(lot.material))
