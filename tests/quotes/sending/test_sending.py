"""Papers sent to clients: through a real mail server, or as a draft file."""

import re
from base64 import b64decode
from email import message_from_bytes, policy
from uuid import uuid4

import pytest
from django.test import Client as Browser

from inventory.models import Workshop
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import ClientLink, SentMail
from tests.conftest import make_person
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_offered_change, make_offered_quote, make_ordered_quote
from tests.quotes.sending.post_office import free_port, post_office

pytestmark = pytest.mark.django_db

TO = "osric@pondweed.example"


@pytest.fixture(autouse=True)
def shop(workshop, settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    fields = {"email": "posy@hollow.example", "public_address": "https://quotes.hollow.example"}
    Workshop.objects.update(**fields)


@pytest.fixture
def post(settings):
    with post_office(settings) as opened:
        yield opened


@pytest.fixture
def quote():
    return make_offered_quote()


def written(**fields):
    values = {"key": uuid4(), "sent_to": TO, "subject": "Your quote", "words": "Dear Osric,"}
    return values | fields


def send(desk, address, press="send", **fields):
    return desk.post(address, written(**fields) | {press: "1"}, follow=True)


def text_of(page):
    return page.content.decode()


def test_the_page_shows_the_mail_and_sends_nothing(desk, quote, post):
    page = text_of(desk.get(f"/send/quote/{quote.pk}/"))
    assert f"Quote {quote.number}: {quote.title}" in page
    assert 'name="link_until" value="2027-04-22"' in page
    assert "Nothing is sent before you press Send" in page
    assert (post.envelopes, SentMail.objects.count(), ClientLink.objects.count()) == ([], 0, 0)


def test_a_quote_is_sent_with_its_paper_and_a_link_that_opens(desk, quote, post):
    page = send(desk, f"/send/quote/{quote.pk}/", link_until="2027-04-15")
    assert f"Sent to {TO}" in text_of(page)
    (message,) = post.messages
    assert post.envelopes[0].rcpt_tos == [TO]
    assert (message["Subject"], message["From"]) == (
        "Your quote",
        "Turnip Hollow <posy@hollow.example>",
    )
    (paper,) = message.iter_attachments()
    assert paper.get_filename() == f"Quote {quote.number}.pdf"
    with quote.document.open() as kept:
        assert paper.get_content() == kept.read()
    body = message.get_body().get_content()
    address = re.search(r"https://quotes\.hollow\.example(/offer/\S+)", body)[1]
    assert Browser().get(address).status_code == 200


def test_what_was_sent_is_kept_without_its_secret_and_shown(desk, quote, post):
    send(desk, f"/send/quote/{quote.pk}/", link_until="2027-04-15")
    mail = SentMail.objects.get()
    assert (mail.state, mail.sent_to, mail.sent_at) == ("sent", TO, NOW)
    assert mail.document_sha256 == quote.document_sha256
    assert "offer" not in mail.words
    assert mail.link == ClientLink.objects.get()
    shown = text_of(desk.get(f"/quotes/{quote.pk}/"))
    assert "Sent to the client" in shown
    assert TO in shown
    own = text_of(desk.get(f"/mails/{mail.pk}/"))
    assert "Dear Osric," in own
    assert desk.get(f"/mails/{mail.pk}/paper/").content.startswith(b"%PDF-")


def test_a_second_press_of_the_same_button_sends_nothing_twice(desk, quote, post):
    same = written()
    for _ in range(2):
        desk.post(f"/send/quote/{quote.pk}/", same | {"send": "1"})
    assert (len(post.envelopes), SentMail.objects.count()) == (1, 1)


def test_a_mail_that_the_server_refuses_says_so_and_is_kept_as_not_sent(desk, quote, post):
    post.refused.add(TO)
    page = send(desk, f"/send/quote/{quote.pk}/")
    assert "Not sent:" in text_of(page)
    assert "No such mailbox here" in text_of(page)
    assert SentMail.objects.get().state == "failed"


def test_a_server_that_does_not_answer_is_said_so(desk, quote, post, settings):
    settings.EMAIL_PORT = free_port()
    assert "Not sent:" in text_of(send(desk, f"/send/quote/{quote.pk}/"))
    assert SentMail.objects.get().sent_at is None


def test_without_an_account_a_draft_file_is_made_and_can_be_marked_as_sent(desk, quote):
    page = text_of(send(desk, f"/send/quote/{quote.pk}/", "draft", link_until="2027-04-15"))
    file = re.search(r'href="data:message/rfc822;base64,([^"]+)"', page)[1]
    draft = message_from_bytes(b64decode(file), policy=policy.default)
    assert (draft["X-Unsent"], draft["To"]) == ("1", f"Osric Pondweed <{TO}>")
    assert "https://quotes.hollow.example/offer/" in draft.get_body().get_content()
    assert next(draft.iter_attachments()).get_content().startswith(b"%PDF-")
    mail = SentMail.objects.get()
    assert (mail.state, mail.sent_at) == ("draft", None)
    assert "Recorded as sent" in text_of(desk.post(f"/mails/{mail.pk}/sent/", follow=True))
    mail.refresh_from_db()
    assert (mail.state, mail.sent_at) == ("by_hand", NOW)
    assert "Only a draft" in text_of(desk.post(f"/mails/{mail.pk}/sent/", follow=True))


def test_without_an_account_nothing_is_sent(desk, quote, settings):
    settings.HAS_MAIL_ACCOUNT = False
    page = text_of(desk.get(f"/send/quote/{quote.pk}/"))
    assert 'name="send"' not in page
    assert "No mail account is set" in text_of(send(desk, f"/send/quote/{quote.pk}/"))
    assert SentMail.objects.count() == 0


def test_without_a_public_address_the_page_says_what_to_do_and_offers_no_link(desk, quote):
    Workshop.objects.update(public_address="")
    page = text_of(desk.get(f"/send/quote/{quote.pk}/"))
    assert "Name the public address in the" in page
    assert 'name="link_until"' not in page


def test_without_a_sender_nothing_is_written(desk, quote, post):
    Workshop.objects.update(email="")
    page = send(desk, f"/send/quote/{quote.pk}/")
    assert "Enter the workshop’s email address" in text_of(page)
    assert (post.envelopes, SentMail.objects.count()) == ([], 0)


def test_a_heading_of_two_lines_goes_out_as_one(desk, quote, post):
    send(desk, f"/send/quote/{quote.pk}/", subject="One\r\nBcc: gertie@elsewhere.example")
    (message,) = post.messages
    assert message["Subject"] == "One Bcc: gertie@elsewhere.example"
    assert post.envelopes[0].rcpt_tos == [TO]


def test_a_change_order_goes_with_a_link_to_its_own_page(desk, quote, post):
    change = make_offered_change(make_ordered_quote(quote))
    send(desk, f"/send/change/{change.pk}/", link_until="2027-04-15")
    assert "/offer/change/" in post.messages[0].get_body().get_content()
    assert "Sent to the client" in text_of(desk.get(f"/changes/{change.pk}/"))


def test_confirmation_invoice_credit_note_and_receipt_are_sent(desk, quote, post, phone):
    ordered = make_ordered_quote(quote)
    invoice = issue_invoice(quote=ordered, part=0, on=TODAY)
    client = ordered.commission.client
    payment = record_payment(
        client=client, invoice=invoice, amount=invoice.gross, received_on=TODAY, now=NOW
    )
    for address in (
        f"/send/confirmation/{ordered.pk}/",
        f"/send/invoice/{invoice.pk}/",
        f"/send/receipt/{payment.pk}/",
    ):
        assert desk.get(address).status_code == 200
        send(desk, address)
    names = [next(message.iter_attachments()).get_filename() for message in post.messages]
    assert names == [
        f"Order confirmation {ordered.number}.pdf",
        f"Invoice {invoice.number}.pdf",
        f"Receipt {payment.number}.pdf",
    ]
    shown = text_of(desk.get(f"/commissions/{ordered.commission_id}/"))
    assert shown.count(TO) == 3


def test_an_overdue_invoice_is_proposed_as_a_reminder(desk, quote, post):
    invoice = issue_invoice(quote=make_ordered_quote(quote), part=0, on=TODAY)
    type(invoice).objects.filter(pk=invoice.pk).update(due_on="2027-03-01")
    page = text_of(desk.get(f"/send/invoice/{invoice.pk}/"))
    assert f"Reminder: invoice {invoice.number}" in page
    assert "please ignore this reminder" in page


def test_a_quote_that_is_over_is_not_sent(desk, quote):
    ordered = make_ordered_quote(quote)
    page = desk.get(f"/send/quote/{ordered.pk}/", follow=True)
    assert "Only an issued quote" in text_of(page)
    assert desk.get("/send/nothing/1/").status_code == 404


def test_a_viewer_sends_nothing(client, quote, post):
    client.force_login(make_person("gertie", "looker-on"))
    assert client.post(f"/send/quote/{quote.pk}/", written() | {"send": "1"}).status_code == 403
    assert post.envelopes == []


def test_the_api_sends_and_lists(phone, quote, post):
    quote.commission.client.email = TO
    quote.commission.client.save()
    asked = {"kind": "quote", "row": quote.pk, "link_until": "2027-04-15"}
    answer = phone.post("/api/v1/mails/", asked)
    assert (answer.status_code, answer.json()["state"]) == (201, "sent")
    assert "https://quotes.hollow.example/offer/" in post.messages[0].get_body().get_content()
    (row,) = phone.get(f"/api/v1/mails/?quote={quote.pk}").json()["results"]
    assert row["sent_to"] == TO
    assert phone.get(f"/api/v1/mails/{row['id']}/document/").content.startswith(b"%PDF-")


def test_the_api_says_what_is_missing(phone, quote, post, settings):
    asked = {"kind": "quote", "row": quote.pk}
    assert "no email address" in str(phone.post("/api/v1/mails/", asked).json())
    gone = phone.post("/api/v1/mails/", {"kind": "quote", "row": 99})
    assert gone.status_code == 400
    Workshop.objects.update(public_address="")
    linked = phone.post("/api/v1/mails/", asked | {"sent_to": TO, "link_until": "2027-04-15"})
    assert (linked.status_code, post.envelopes) == (409, [])
    settings.HAS_MAIL_ACCOUNT = False
    without = phone.post("/api/v1/mails/", asked | {"sent_to": TO})
    assert "No mail account is set" in without.json()["detail"]
