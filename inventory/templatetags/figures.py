"""How amounts, quantities, hours and days are set on a page: one way, the reader's language."""

from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Literal

from babel.core import Locale
from babel.dates import format_date
from babel.numbers import get_decimal_symbol, get_group_symbol
from django import template
from django.template import Context
from django.utils import timezone
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, to_locale

from inventory.base.calc.hours import MINUS, h_mm
from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.units import from_base, unit_word

register = template.Library()

NOTHING = "–"
NO_CURRENCY = "XXX"
"""The code of ISO 4217 for "no currency": used until the workshop has chosen its own."""

Number = Decimal | int | float | str
"""A float is read by the digits it prints with; an empty text is a variable that was not found."""


@register.simple_tag(takes_context=True)
def money(
    context: Context, amount: Number | None, currency: str = "", named: bool = False
) -> SafeString:
    """Set `amount` in minor units of `currency`, the workshop's own if none is given.

    A foreign currency is always named by its code; the workshop's own only if `named`, and in a
    table that has foreign money beside it, by the style of tables.
    """
    if amount is None or amount == "":
        return _nothing("money")
    own = getattr(context.get("workshop"), "currency", "") or NO_CURRENCY
    code = currency or own
    figure = _money_text(_decimal(amount), code)
    if code == NO_CURRENCY:
        return mark_safe(f'<span class="money">{figure}</span>')
    if code == own and not named:
        return format_html('<span class="money" data-currency="{}">{}</span>', code, figure)
    return format_html('<span class="money">{} <span class="unit">{}</span></span>', figure, code)


@register.simple_tag
def price(value: Number | None, currency: str) -> str:
    """Set the price of one unit in minor units of `currency`, or in finer ones that it needs."""
    if value is None or value == "":
        return NOTHING
    exact = _plain(_decimal(value))
    return "".join(_parted(min(exact, exact.quantize(_minor_unit(currency)), key=_coarseness)))


@register.simple_tag
def quantity(value: Number | None, unit: str, stored: bool = False, places: int = 3) -> SafeString:
    """Set `value` with its unit, to `places` decimals at most and without idle zeros.

    `value` counts `unit`s; with `stored` it counts base units of that unit's kind. Hours are set
    as everywhere, `7:45 h`.
    """
    if value is None or value == "":
        return _nothing("quantity")
    if unit == "h":
        return hours(_decimal(value) * 60)
    exact = from_base(_decimal(value), unit) if stored else _decimal(value)
    whole, decimals = _parted(_plain(_rounded(exact, places)))
    return mark_safe(
        f'<span class="quantity">{whole}<span class="decimals">{decimals}</span>'
        f"{_unit(unit)}</span>"
    )


@register.simple_tag
def hours(minutes: Number | None) -> SafeString:
    """Set minutes as hours and minutes, `7:45 h`, with the tenths of a minute that there are."""
    if minutes is None or minutes == "":
        return _nothing("hours")
    exact = _rounded(_decimal(minutes), 1)
    whole, rest = divmod(abs(exact), 60)
    sign = MINUS if exact < 0 else ""
    tenths = f"{rest % 1:.1f}"[1:].replace(".", get_decimal_symbol(_locale())) if rest % 1 else ""
    return format_html(
        '<span class="hours">{}{}:{}{}{}</span>',
        sign,
        _parted(Decimal(whole))[0],
        f"{int(rest):02d}",
        format_html('<span class="decimals">{}</span>', tenths) if tenths else "",
        _unit("h"),
    )


@register.filter(name="h_mm")
def hours_in_text(value: Number | float | None, step: int = 1) -> str:
    """Write hours as `7:45 h`, to `step` minutes; nothing as a dash."""
    return NOTHING if value is None or value == "" else h_mm(_decimal(value), step)


@register.simple_tag
def day(when: date | datetime | Literal[""] | None, weekday: bool = False) -> SafeString:
    """Set a calendar day with its month as a word; an instant by the day it had in the shop."""
    if when is None or isinstance(when, str):
        return _nothing("day")
    if isinstance(when, datetime):
        when = (timezone.localtime(when) if timezone.is_aware(when) else when).date()
    pattern = "EEE d MMM y" if weekday else "d MMM y"
    return format_html(
        '<time datetime="{}">{}</time>', when.isoformat(), format_date(when, pattern, _locale())
    )


@register.simple_block_tag
def why(content: str, figure: str) -> SafeString:
    """Wrap `figure` so that it opens to `content`: the figures that it was made from."""
    return format_html(
        '<details class="why"><summary>{}</summary><div class="why-parts">{}</div></details>',
        figure,
        content,
    )


@register.filter
def plain_decimal(value: Number | None) -> str:
    """Write a number with a point, no idle zeros and no exponent, as a form or a file takes it."""
    return "" if value is None or value == "" else f"{_plain(_decimal(value)):f}"


def _decimal(value: Number) -> Decimal:
    return value if isinstance(value, Decimal) else Decimal(str(value))


def _plain(value: Decimal) -> Decimal:
    """Drop idle zeros; 1E+2 becomes 100 and no zero carries a sign."""
    trimmed = value.normalize()
    if not trimmed:
        return Decimal(0)
    return trimmed.quantize(Decimal(1)) if trimmed == trimmed.to_integral_value() else trimmed


def _rounded(value: Decimal, places: int) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def _coarseness(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def _money_text(amount: Decimal, currency: str) -> SafeString:
    return mark_safe("".join(_parted(round_money(amount, _minor_unit(currency)) + 0)))


def _two_places(value: Decimal) -> SafeString:
    return mark_safe("".join(_parted(_rounded(value, 2))))


def _parted(value: Decimal) -> tuple[str, str]:
    """Write `value` in two parts, so that a table can align it on its decimal point.

    Both are safe in HTML: digits, and marks that are escaped.
    """
    point, comma = _symbols(_locale())
    whole, mark, decimals = f"{value:,f}".partition(".")
    return _with_minus(whole.replace(",", comma)), (point + decimals if mark else "")


@register.filter
def per_unit(unit: str) -> str:
    """Return `per m²` for the price of one unit with the code `unit`, or `each`."""
    return "each" if unit == "ea" else f"per {_word(unit)}"


@lru_cache
def _unit(unit: str) -> SafeString:
    word = "" if unit == "ea" else _word(unit)
    return format_html(' <span class="unit">{}</span>', word)


def _word(unit: str) -> str:
    try:
        return unit_word(unit)
    except KeyError:
        return unit


def _with_minus(text: str) -> str:
    return text.replace("-", MINUS)


def _nothing(kind: str) -> SafeString:
    return format_html('<span class="{}">{}</span>', kind, NOTHING)


_minor_unit = lru_cache(minor_unit_of)


@lru_cache
def _symbols(locale: Locale) -> tuple[str, str]:
    """The decimal point and the mark between thousands: asked for once, not for every figure."""
    return escape(get_decimal_symbol(locale)), escape(get_group_symbol(locale))


def _locale() -> Locale:
    return _locale_of(get_language() or "en")


@lru_cache
def _locale_of(language: str) -> Locale:
    return Locale.parse(to_locale(language))
