"""Mail to clients: what was sent, when and to whom."""

from django.conf import settings
from django.db import models

from quotes.models.change import Change
from quotes.models.client import Client, Commission
from quotes.models.link import ClientLink
from quotes.models.money import Invoice, Payment
from quotes.models.quote import Quote


class SentMail(models.Model):
    """A paper that went to a client, with the words around it; it never changes once it is sent.

    The secret of a link that went with it is not kept. `key` names one press of the button, so
    that a second one sends nothing twice.
    """

    class State(models.TextChoices):
        SENDING = "sending", "being sent"
        SENT = "sent", "sent"
        FAILED = "failed", "not sent"
        DRAFT = "draft", "draft file"
        BY_HAND = "by_hand", "sent by hand"

    key = models.UUIDField(unique=True, editable=False)
    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="mails")
    commission = models.ForeignKey(
        Commission, null=True, blank=True, on_delete=models.PROTECT, related_name="mails"
    )
    quote = models.ForeignKey(
        Quote, null=True, blank=True, on_delete=models.PROTECT, related_name="mails"
    )
    change = models.ForeignKey(
        Change, null=True, blank=True, on_delete=models.PROTECT, related_name="mails"
    )
    invoice = models.ForeignKey(
        Invoice, null=True, blank=True, on_delete=models.PROTECT, related_name="mails"
    )
    payment = models.ForeignKey(
        Payment, null=True, blank=True, on_delete=models.PROTECT, related_name="mails"
    )
    link = models.ForeignKey(
        ClientLink, null=True, blank=True, on_delete=models.SET_NULL, related_name="mails"
    )
    state = models.CharField(max_length=7, choices=State.choices)
    sent_to = models.EmailField("to")
    subject = models.CharField(max_length=200)
    words = models.TextField("text", help_text="As it was written, without the link.")
    paper = models.CharField(max_length=120, help_text="What the paper is called.")
    document = models.FileField(upload_to="mails/", editable=False)
    document_sha256 = models.CharField(max_length=64, editable=False)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    why_not = models.CharField(max_length=300, blank=True, help_text="What the mail server said.")

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.paper} to {self.sent_to}"
