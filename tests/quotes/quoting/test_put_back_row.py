"""A row that was taken out comes back as it was, with everything that hung on it."""

from decimal import Decimal

import pytest
from django.core import signing

from inventory.base.refusals import Refusal
from quotes.base.locking import NotADraft
from quotes.models import QuoteFailure
from quotes.pricing.queries.offer import live_offer
from quotes.quoting.bookkeeping import SALT, row_unsealed, sealed_row
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import add_row, remove_row, restore_row, set_failure_risk
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(workshop, settings, tmp_path):
    """Two stages; the second fails, is redone from the first, and then loses the top."""
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Join", hours=("1", "3", "4"))
    make_template_stage(template, "Carve", hours=("5", "8", "12"))
    make_template_line(template, "top", cost_likely=Decimal(40))
    draft = make_quote(template=template)
    join, carve = draft.stages.all()
    add_row(quote=draft, of="extra", kind="own", name="Engraving", cost=Decimal(25))
    set_failure_risk(
        quote=draft, name="Carved through", stage=carve, one_in=11, redo_from=join,
        lost=draft.materials.all(),
    )  # fmt: skip
    return edit_quote(quote=draft, contingency_by="failures")


def steps(quote):
    offer = live_offer(type(quote).objects.get(pk=quote.pk), on=TODAY)
    return [(figure.name, figure.amount) for figure in offer.sheet.steps]


@pytest.mark.parametrize(
    "which",
    [
        lambda draft: draft.stages.get(name="Join"),
        lambda draft: draft.stages.get(name="Carve"),
        lambda draft: draft.materials.get(),
        lambda draft: draft.extras.get(),
        lambda draft: QuoteFailure.objects.get(),
    ],
    ids=["stage to redo from", "stage that fails", "material that is lost", "own line", "failure"],
)
def test_everything_is_as_before(draft, which):
    row, before = which(draft), steps(draft)
    sealed = sealed_row(row)
    remove_row(row=row)
    assert steps(draft) != before
    restore_row(quote=draft, taken=row_unsealed(sealed))
    assert steps(draft) == before


def test_it_is_put_back_once(draft):
    row = draft.extras.get()
    sealed = sealed_row(row)
    with pytest.raises(Refusal, match="is back already"):
        restore_row(quote=draft, taken=row_unsealed(sealed))


def test_another_quote_s_row_and_a_changed_seal_are_refused(draft):
    taken = row_unsealed(sealed_row(draft.extras.get()))
    with pytest.raises(Refusal, match="not part of this quote"):
        restore_row(quote=make_quote(template=draft.template), taken=taken)
    with pytest.raises(Refusal, match="can't be undone any more"):
        row_unsealed(signing.dumps({"quote": draft.pk}, salt=f"{SALT} of another"))


def test_what_was_sent_takes_nothing_back(draft):
    row = draft.extras.get()
    taken = row_unsealed(sealed_row(row))
    remove_row(row=row)
    issue_quote(quote=draft, on=TODAY, now=NOW)
    with pytest.raises(NotADraft):
        restore_row(quote=draft, taken=taken)
