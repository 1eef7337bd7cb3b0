"""A build to close out, worked by hand."""

from decimal import Decimal

import pytest

from inventory.ledger.services.incoming import NewLine
from inventory.models import Lot
from inventory.purchasing.services.deliveries import receive_delivery
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from shop.builds.services.stock import draw_for_build, scrap_for_build
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from tests.factories import NOW, TODAY, make_material
from tests.quotes.factories import make_policy, make_quote
from tests.shop.factories import (
    make_template,
    make_template_line,
    make_template_stage,
)


@pytest.fixture
def the_day(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def build(posy, settings, tmp_path):
    """Quoted 4 h and a set at 40; worked 5 h, one set of 35 scrapped and one of 35 drawn."""
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    spruce = make_material("spruce set", kept_as="piece", replacement_price=Decimal(40))
    receive_delivery(
        received_on=TODAY,
        lines=[NewLine(material=spruce, quantity=Decimal(2), price=Decimal(70))],
        now=NOW,
    )
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    make_template_line(template, "top", material=spruce)
    quote = issue_quote(quote=make_quote(template=template, on=TODAY), on=TODAY, now=NOW)
    build = accept_quote(quote=quote, on=TODAY, now=NOW).build
    line, stage = build.lines.get(), build.stages.get()
    lots = list(Lot.objects.filter(material=spruce))
    one = Decimal(1)
    scrap_for_build(build=build, quantity=one, why="split", now=NOW, line=line, lot=lots[0])
    draw_for_build(build=build, quantity=one, now=NOW, line=line, lot=lots[1])
    log_hours(person=posy, day=TODAY, minutes=300, now=NOW, work=[Work(build=build, stage=stage)])
    return build
