from datetime import UTC, date, datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.template import Context, Template
from django.utils import timezone, translation

from inventory.templatetags.figures import plain_decimal

EURO = SimpleNamespace(currency="EUR")


def setting(source, *, workshop=EURO, **names):
    template = Template("{% load figures %}" + source)
    return template.render(Context({"workshop": workshop, **names}))


def text(source, **names):
    """What is read: the tags of HTML left out, spaces as they are seen."""
    html = setting(source, **names)
    return " ".join("".join(part.rpartition(">")[2] for part in html.split("<")).split())


# Minor units: ISO 4217 as carried by Babel's CLDR data.
@pytest.mark.parametrize(
    ("amount", "currency", "shown"),
    [
        ("3077", "EUR", "3,077.00"),
        ("-12.5", "EUR", "−12.50"),
        ("0.125", "EUR", "0.13"),
        ("-0.001", "EUR", "0.00"),
        ("1234.5", "JPY", "1,235"),
        ("1.2345", "KWD", "1.235"),
    ],
    ids=["thousands", "a proper minus", "half up", "no minus zero", "no minor unit", "thousandths"],
)
def test_money_has_the_minor_units_of_the_workshop(amount, currency, shown):
    workshop = SimpleNamespace(currency=currency)
    assert text("{% money amount %}", workshop=workshop, amount=Decimal(amount)) == shown


def test_a_foreign_amount_is_named_by_its_code():
    assert text('{% money 3845 currency="USD" %}') == "3,845.00 USD"


def test_the_workshops_own_currency_is_named_only_on_request():
    assert text('{% money 5 currency="EUR" %}') == "5.00"
    assert text("{% money 5 named=True %}") == "5.00 EUR"


def test_a_table_can_name_the_workshops_own_currency_too():
    assert setting("{% money 5 %}") == '<span class="money" data-currency="EUR">5.00</span>'


def test_money_is_set_before_the_workshop_has_a_currency():
    assert text("{% money 5 named=True %}", workshop=None) == "5.00"


def test_figures_follow_the_readers_language():
    with translation.override("de"):
        assert text("{% money 3077 %}") == "3.077,00"
        assert text('{% quantity "7450.5" "mm" %}') == "7.450,5 mm"
        assert text('{% hours "160.5" %}') == "2:40,5 h"


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        ("7450.500", "mm", "7,450.5 mm"),
        ("6", "ea", "6"),
        ("1E+2", "g", "100 g"),
        ("-0.125", "kg", "−0.125 kg"),
        ("0.02371", "m3", "0.024 m³"),
        ("3", "sheet", "3 sheet"),
    ],
    ids=["idle zeros", "counted", "exponent", "below zero", "three places", "unit of its own"],
)
def test_a_quantity_has_no_idle_zeros_and_its_unit(value, unit, shown):
    assert text("{% quantity value unit %}", value=Decimal(value), unit=unit) == shown


# Walk-through W2: 0.023712 m³ is 10.05 board feet; stored as 23,712 ml.
def test_a_stored_quantity_is_turned_into_the_unit_shown():
    source = '{% quantity 23712 "bf" stored=True places=2 %}'
    assert text(source) == "10.05 board feet"


def test_the_decimals_of_a_quantity_can_be_aligned():
    assert '12<span class="decimals">.5</span>' in setting('{% quantity "12.5" "mm" %}')
    assert '12<span class="decimals"></span>' in setting('{% quantity 12 "mm" %}')


# Walk-through W3: A has 160.5 minutes.
@pytest.mark.parametrize(
    ("minutes", "clock"),
    [
        ("465", "7:45 h"),
        ("160.5", "2:40.5 h"),
        ("5", "0:05 h"),
        ("-75", "−1:15 h"),
        ("119.96", "2:00 h"),
    ],
    ids=["a day", "half a minute", "minutes have two digits", "a correction", "up to the hour"],
)
def test_minutes_are_set_as_hours(minutes, clock):
    assert text("{% hours minutes %}", minutes=minutes) == clock


@pytest.mark.parametrize(
    ("figure", "written"),
    [
        ('"7.75"|h_mm', "7:45 h"),
        ('"12.34"|h_mm', "12:20 h"),
        ('"12.34"|h_mm:6', "12:18 h"),
        ('""|h_mm', "–"),
    ],
    ids=["quarters", "to the minute", "to a tenth of an hour", "missing"],
)
def test_hours_are_written_alike_in_text(figure, written):
    assert text(f"{{{{ {figure} }}}}") == written


def test_a_quantity_of_hours_is_set_as_hours():
    assert text('{% quantity "7.75" "h" %}') == "7:45 h"


def test_a_day_has_its_month_as_a_word():
    assert text("{% day when %}", when=date(2027, 3, 2)) == "2 Mar 2027"
    assert text("{% day when weekday=True %}", when=date(2027, 3, 2)) == "Tue 2 Mar 2027"
    assert 'datetime="2027-03-02"' in setting("{% day when %}", when=date(2027, 3, 2))


def test_an_instant_is_set_as_the_day_it_had_in_the_shop():
    late = datetime(2027, 3, 2, 23, 30, tzinfo=UTC)
    with timezone.override("Europe/Brussels"):
        assert text("{% day when %}", when=late) == "3 Mar 2027"


@pytest.mark.parametrize("tag", ["money", "quantity", "hours", "day"])
@pytest.mark.parametrize("missing", [None, ""], ids=["none", "no such variable"])
def test_a_missing_figure_is_a_dash(tag, missing):
    unit = '"mm"' if tag == "quantity" else ""
    assert text(f"{{% {tag} figure {unit} %}}", figure=missing) == "–"


def test_zero_is_not_missing():
    assert text("{% money 0 %}") == "0.00"
    assert text("{% hours 0 %}") == "0:00 h"


def test_a_figure_opens_to_its_parts():
    html = setting("{% money 5 as sum %}{% why sum %}<b>2 + 3</b>{% endwhy %}")
    summary, _, parts = html.partition("</summary>")
    assert (
        summary
        == '<details class="why"><summary><span class="money" data-currency="EUR">5.00</span>'
    )
    assert parts == '<div class="why-parts"><b>2 + 3</b></div></details>'


def test_a_figure_that_opens_is_escaped():
    assert "<script>" not in setting("{% why bad %}{{ bad }}{% endwhy %}", bad="<script>")


@pytest.mark.parametrize(
    ("value", "plain"),
    [
        (Decimal("12.500"), "12.5"),
        (Decimal("1E+2"), "100"),
        (Decimal("-0.00"), "0"),
        (Decimal("0.0000001"), "0.0000001"),
        (0.1, "0.1"),
        (None, ""),
    ],
    ids=["idle zeros", "exponent", "minus zero", "small", "float", "none"],
)
def test_a_plain_decimal_is_what_a_form_takes(value, plain):
    assert plain_decimal(value) == plain
