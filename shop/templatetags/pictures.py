"""How a picture is set into a page or a paper."""

from django import template
from django.utils.safestring import SafeString, mark_safe

from shop.base.pictures.paper import STYLE
from shop.base.pictures.shapes import Drawing, Picture

register = template.Library()


@register.simple_tag
def drawing(sheet: Drawing, look: str, says: str) -> SafeString:
    """Set one sheet of a picture; the shapes escape their own words."""
    return mark_safe(sheet.svg(look, says))


@register.simple_tag
def on_paper(picture: Picture) -> SafeString:
    """Set a picture into a paper: its wide sheet, in ink."""
    return mark_safe(picture.wide.svg("picture", picture.says, STYLE))
