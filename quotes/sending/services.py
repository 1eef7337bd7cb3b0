"""Send a paper through the maker's mail account, or make a draft file of it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from email.utils import formataddr
from smtplib import SMTPException, SMTPResponseException
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction

from inventory.base.calc.days import day_words
from inventory.base.people import Person
from inventory.base.refusals import Refusal
from inventory.models import Workshop
from quotes.base.keeping import atomic_with_files, store_paper
from quotes.client_page.bookkeeping import as_one_line
from quotes.client_page.services.links import create_link
from quotes.models import SentMail
from quotes.sending.calc import with_link
from quotes.sending.documents import Outgoing
from quotes.sending.refusals import NoMailAccount, NoSender

DRAFT_HEADERS = {"X-Unsent": "1"}
"""Mail programs that know it open the file as something to be sent; the others only show it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the maker wrote: to whom, in which words, and up to when a link opens (None: none).

    `address_of` turns the secret of a link into an address, `is_about_change` picks its page.
    """

    key: UUID
    sent_to: str
    subject: str
    words: str
    link_until: date | None = None
    address_of: Callable[[str, bool], str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A mail as it is kept, and as it goes out; no message when the same press came before."""

    mail: SentMail
    message: EmailMessage | None
    address: str = ""


def send_paper(
    *, outgoing: Outgoing, asked: Asked, on: date, now: datetime, user: Person | None = None
) -> SentMail:
    """Send a paper and return what is kept of it; the same press again sends nothing.

    The mail is kept as being sent before its server is asked, and says afterwards whether it was
    taken: nothing goes out that is not in the books. Raises NoMailAccount, NoSender, and Refusal
    for a link that can't be made.
    """
    if not settings.HAS_MAIL_ACCOUNT:
        raise NoMailAccount
    made = _keep(outgoing, asked, SentMail.State.SENDING, on, now, user)
    if made.message is None:
        return made.mail
    try:
        made.message.send()
    except (SMTPException, OSError) as error:
        return _told(made.mail, SentMail.State.FAILED, why_not=_words_of(error))
    return _told(made.mail, SentMail.State.SENT, sent_at=now)


def make_draft_mail(
    *, outgoing: Outgoing, asked: Asked, on: date, now: datetime, user: Person | None = None
) -> Made:
    """Return a draft of a paper for the maker's own mail program; nothing is sent.

    Its message is told this once, as the link in it can't be read again. Raises NoSender, and
    Refusal for a link that can't be made.
    """
    made = _keep(outgoing, asked, SentMail.State.DRAFT, on, now, user)
    if made.message is not None:
        made.message.extra_headers |= DRAFT_HEADERS
    return made


@transaction.atomic
def mark_mail_sent(*, mail: SentMail, now: datetime) -> SentMail:
    """Record that the maker sent a draft by hand. Raises Refusal for what is no draft."""
    locked = SentMail.objects.select_for_update(of=("self",)).get(pk=mail.pk)
    if locked.state != SentMail.State.DRAFT:
        raise Refusal(
            f"It is {locked.get_state_display()} already. Only a draft is marked as sent."
        )
    return _told(locked, SentMail.State.BY_HAND, sent_at=now)


def _keep(
    outgoing: Outgoing, asked: Asked, state: str, on: date, now: datetime, user: Person | None
) -> Made:
    """Keep the mail with its paper and its link in one transaction, and build its message."""
    sender = _sender()
    if kept := SentMail.objects.filter(key=asked.key).first():
        return Made(mail=kept, message=None)
    printed = outgoing.printed()
    with atomic_with_files():
        mail = SentMail(
            key=asked.key,
            client=outgoing.client,
            commission=outgoing.commission,
            state=state,
            sent_to=asked.sent_to,
            subject=as_one_line(asked.subject, 200),
            words=asked.words,
            paper=outgoing.name,
            made_at=now,
            made_by=user if user and user.is_authenticated else None,
            **outgoing.rows,
        )
        address = _linked(mail, outgoing, asked, on, now)
        store_paper(mail, outgoing.name.replace(" ", "-"), printed)
        mail.save()
    until = day_words(asked.link_until) if asked.link_until else ""
    message = EmailMessage(
        subject=mail.subject,
        body=with_link(mail.words, address, until),
        from_email=sender,
        to=[formataddr((outgoing.client.name, mail.sent_to))],
        attachments=[(f"{outgoing.name}.pdf", printed, "application/pdf")],
    )
    return Made(mail=mail, message=message, address=address)


def _linked(mail: SentMail, outgoing: Outgoing, asked: Asked, on: date, now: datetime) -> str:
    """Make the link that goes with a mail and return its address; nothing where none is asked."""
    if asked.link_until is None or asked.address_of is None:
        return ""
    if outgoing.link_until is None:
        raise Refusal(f"{outgoing.name} has no client’s page to link to.", field="link_until")
    change = mail.change
    assert mail.quote is not None  # every paper with a page is about a quote
    made = create_link(quote=mail.quote, change=change, expires_on=asked.link_until, on=on, now=now)
    mail.link = made.link
    return asked.address_of(made.secret, change is not None)


def _sender() -> str:
    workshop = Workshop.objects.get()
    if not workshop.email:
        raise NoSender
    return formataddr((workshop.name, workshop.email))


def _told(mail: SentMail, state: str, **fields: Any) -> SentMail:
    mail.state = state
    for name, value in fields.items():
        setattr(mail, name, value)
    mail.save(update_fields=["state", *fields])
    return mail


def _words_of(error: Exception) -> str:
    """Say what the mail server said, in one line."""
    if isinstance(error, SMTPResponseException):
        said = error.smtp_error
        text = said.decode(errors="replace") if isinstance(said, bytes) else str(said)
        return as_one_line(f"{error.smtp_code} {text}", 300)
    return as_one_line(str(error) or type(error).__name__, 300)
