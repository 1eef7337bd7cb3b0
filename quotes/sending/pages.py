"""The page on which a paper is sent to its client."""

from base64 import b64encode
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from inventory.base.addresses import opens_outside
from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from inventory.base.roles import BOOK_ROLES, allow_roles
from quotes.base.pages import posted
from quotes.models import SentMail
from quotes.sending.documents import SENDABLE, Outgoing, link_address
from quotes.sending.forms import MailForm
from quotes.sending.services import Asked, Made, make_draft_mail, mark_mail_sent, send_paper


@never_cache
@allow_roles(*BOOK_ROLES)
def send(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Show a mail with its paper; send it, or make a draft file of it, once that is pressed."""
    if kind not in SENDABLE:
        raise Http404
    rows, describe = SENDABLE[kind]
    on = timezone.localdate()
    try:
        outgoing = describe(get_object_or_404(rows.all(), pk=pk), on)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect(kind if kind in {"change", "invoice"} else "quote", pk)
    has_link = outgoing.link_until is not None and opens_outside(request)
    form = MailForm(posted(request), has_link=has_link, initial=_proposed(outgoing))
    if form.is_valid():
        with refusals_on(form):
            return _done(request, form, outgoing)
    context = {
        "form": form,
        "outgoing": outgoing,
        "kind": kind,
        "paper": _paper_address(kind, pk),
        "has_account": settings.HAS_MAIL_ACCOUNT,
        "opens": has_link or outgoing.link_until is None,
    }
    return render_form(request, "quotes/sending/send.html", context)


def _proposed(outgoing: Outgoing) -> dict[str, Any]:
    return {
        "key": uuid4(),
        "sent_to": outgoing.client.email,
        "subject": outgoing.words.subject,
        "words": outgoing.words.text,
        "link_until": outgoing.link_until,
    }


def _paper_address(kind: str, pk: int) -> str:
    names = {"receipt": "payment_receipt", "confirmation": "confirmation"}
    return reverse(names.get(kind, f"{kind}_document"), args=[pk])


def _done(request: HttpRequest, form: MailForm, outgoing: Outgoing) -> HttpResponse:
    asked = Asked(address_of=link_address(request), **form.cleaned_data)
    now = timezone.now()
    facts: Any = {"outgoing": outgoing, "asked": asked, "on": timezone.localdate(now), "now": now}
    if "draft" in request.POST:
        return _draft(request, make_draft_mail(**facts, user=request.user), outgoing)
    mail = send_paper(**facts, user=request.user)
    if mail.state == SentMail.State.FAILED:
        messages.error(
            request, f"Not sent: {mail.why_not}. Check the mail account, or make a draft file."
        )
    else:
        messages.success(request, f"Sent to {mail.sent_to}.")
    return redirect(outgoing.back)


def _draft(request: HttpRequest, made: Made, outgoing: Outgoing) -> HttpResponse:
    """Show a draft this once: as a file and as text; its link can't be read again."""
    if made.message is None:
        messages.success(request, "The draft is made already.")
        return redirect(outgoing.back)
    whole = made.message.message().as_bytes(linesep="\r\n")  # type: ignore[call-arg] # Django's own
    context = {
        "mail": made.mail,
        "text": made.message.body,
        "file": f"data:message/rfc822;base64,{b64encode(whole).decode()}",
        "outgoing": outgoing,
    }
    return render(request, "quotes/sending/draft.html", context)


@require_POST
@allow_roles(*BOOK_ROLES)
def mail_sent(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that a draft was sent by hand."""
    row = get_object_or_404(SentMail, pk=pk)
    try:
        mail = mark_mail_sent(mail=row, now=timezone.now())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, f"Recorded as sent to {mail.sent_to}.")
    return redirect("mail", pk)


def mail(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one mail as it was written."""
    rows = SentMail.objects.select_related(
        "client", "commission", "quote", "change", "invoice", "payment", "link", "made_by"
    )
    return render(request, "quotes/sending/mail.html", {"mail": get_object_or_404(rows, pk=pk)})


def mail_document(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the paper that went with a mail."""
    row = get_object_or_404(SentMail, pk=pk)
    with row.document.open() as kept:
        return HttpResponse(kept.read(), content_type="application/pdf")
