"""The settings page of papers: how they look, with a picture that follows what is chosen."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER, allow_roles
from quotes.base.pages import posted
from quotes.models import PaperLook, Quote
from quotes.papers.calc import check_readable
from quotes.papers.documents.quote import sample_pdf
from quotes.papers.forms import PaperLookForm
from quotes.papers.queries import paper_look
from quotes.papers.services import remove_logo, set_paper_look


@allow_roles(OWNER)
def paper_look_edit(request: HttpRequest) -> HttpResponse:
    """Choose how papers look."""
    look = paper_look()
    form = PaperLookForm(posted(request), request.FILES or None, initial=_chosen(look))
    if form.is_valid():
        with refusals_on(form):
            set_paper_look(**form.cleaned_data)
            messages.success(request, "Saved. It applies to papers from now on.")
            return redirect("paper_look")
    context = {"form": form, "look": look, "has_sample": Quote.objects.exists()}
    return render_form(request, "quotes/paper_look/look.html", context)


@allow_roles(OWNER)
def paper_look_picture(request: HttpRequest) -> HttpResponse:
    """Draw the head of a paper as it is chosen, before it is saved."""
    look = paper_look()
    accent, face = request.GET.get("accent", ""), request.GET.get("face", "")
    try:
        check_readable(accent)
    except Refusal as refusal:
        return render(request, "quotes/paper_look/head.html", {"look": look, "refusal": refusal})
    look.accent, look.face = accent, face if face in PaperLook.Face else look.face
    return render(request, "quotes/paper_look/head.html", {"look": look})


@require_POST
@allow_roles(OWNER)
def paper_logo_remove(request: HttpRequest) -> HttpResponse:
    """Delete the logo."""
    remove_logo()
    messages.success(request, "Logo deleted.")
    return redirect("paper_look")


@allow_roles(OWNER)
def paper_logo(request: HttpRequest) -> FileResponse:
    """The logo itself."""
    if not (logo := paper_look().logo):
        raise Http404
    return FileResponse(logo.open(), content_type="image/jpeg")


@allow_roles(OWNER)
def paper_sample(request: HttpRequest) -> HttpResponse:
    """The latest quote on paper, in the look that is saved; nothing of it is kept."""
    quote = Quote.objects.filter(part_of=None).order_by("-pk").first()
    if quote is None:
        raise Http404
    return HttpResponse(sample_pdf(quote, timezone.localdate()), content_type="application/pdf")


def _chosen(look: PaperLook) -> dict[str, str]:
    return {"face": look.face, "accent": look.accent}
