"""What all pages share: no inline script or style, parts that say what they mean, forms."""

import re
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace

import pytest
from django import forms
from django.core.paginator import Paginator
from django.template.loader import render_to_string
from django.test import RequestFactory

from inventory.base.refusals import Refusal

TEMPLATES = sorted(
    path
    for app in ("inventory", "shop", "quotes")
    for path in Path(app).glob("templates/**/*.html")
)
# Papers go to the PDF writer and never to a browser: a label is placed by its own style there.
SERVED = [path for path in TEMPLATES if "papers" not in path.parts]
INLINE = re.compile(r"\sstyle=|<style|\son\w+=|<script(?![^>]*\bsrc=)|javascript:", re.IGNORECASE)
SENT_PAPER = re.compile(r"\brender\([^)]*/papers/")
PAGES = ["404.html", "403.html", "403_csrf.html", "500.html"]


class BoardForm(forms.Form):
    name = forms.CharField(help_text="As at the bench.")
    length = forms.DecimalField()
    note = forms.CharField(required=False)
    listed = forms.BooleanField(label="A listed species", required=False)
    state = forms.ChoiceField(choices=[("s", "seasoning")], widget=forms.RadioSelect)
    lot = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["length"].unit = "mm"


@pytest.mark.parametrize("path", SERVED, ids=str)
def test_no_template_has_inline_script_or_style(path):
    assert INLINE.findall(path.read_text()) == []


@pytest.mark.parametrize("path", [path for path in TEMPLATES if path not in SERVED], ids=str)
def test_no_paper_has_a_script(path):
    assert "<script" not in path.read_text().lower()


def test_no_paper_is_rendered_to_a_browser():
    code = [path for app in ("inventory", "shop", "quotes") for path in Path(app).rglob("*.py")]
    assert [path for path in code if SENT_PAPER.search(path.read_text())] == []
    assert SENT_PAPER.search('render(request, "shop/papers/card.html", {})')


@pytest.mark.parametrize(
    "html", ['<p style="x">', "<style>", '<a onclick="x">', "<script>x</script>"]
)
def test_the_search_for_inline_code_finds_it(html):
    assert INLINE.search(html)


@pytest.mark.parametrize("name", PAGES)
def test_a_page_of_refusal_stands_without_any_context(name):
    html = render_to_string(name)
    assert html.count("<h1>") == html.count("<main") == 1


def test_the_page_is_rendered_in_the_theme_of_the_device():
    assert 'data-theme="auto"' in render_to_string("404.html")
    assert 'data-theme="dark"' in render_to_string("404.html", {"theme": "dark"})


def test_the_index_marks_where_one_is():
    nav = [("Today", "/", False), ("Stock", "/stock/", True)]
    html = render_to_string("parts/index.html", {"nav": nav})
    assert '<a href="/stock/" aria-current="page">Stock</a>' in html
    assert '<a href="/">Today</a>' in html


def test_a_state_has_a_word_and_a_shape():
    html = render_to_string("parts/state.html", {"word": "seasoning", "shape": "half"})
    assert "#half" in html
    assert "</svg>seasoning" in html
    assert "hand" not in html


@pytest.mark.parametrize("name", ["ring", "half", "full", "diamond", "bars", "cross", "hand"])
def test_every_shape_is_drawn(name):
    assert f'id="{name}"' in Path("shop/static/shop/shapes.svg").read_text()


def test_a_refusal_is_shown_as_its_sentence():
    refusal = Refusal("Spruce set 412 is reserved for build 0107; take set 415, which is free.")
    html = render_to_string("parts/refusal.html", {"refusal": refusal})
    assert "<p>Spruce set 412 is reserved for build 0107; take set 415, which is free.</p>" in html
    assert 'role="alert"' in html


def test_a_notice_offers_undo_only_where_there_is_one():
    plain = render_to_string("parts/notice.html", {"text": "Counted."})
    undoable = render_to_string("parts/notice.html", {"text": "Counted.", "undo": "/back/"})
    assert "<form" not in plain
    assert '<form method="post" action="/back/">' in undoable


def test_a_figure_opens_to_a_table_of_its_parts():
    parts = [
        SimpleNamespace(label="Spruce set 412", note="its own cost", amount=Decimal("34.72")),
        SimpleNamespace(label="Hours", text="48 h"),
        SimpleNamespace(label="Sum", amount=Decimal("2194.72"), is_total=True),
    ]
    html = render_to_string("parts/why.html", {"figure": "2,194.72", "parts": parts})
    assert "<summary>2,194.72</summary>" in html
    assert html.count("<tr") == 3
    assert '<td class="num">48 h</td>' in html
    assert html.count('class="sum"') == 1


def test_the_pager_keeps_the_filters():
    request = RequestFactory().get("/stock/", {"find": "spruce", "page": "2"})
    page = Paginator(range(60), 25).page(2)
    html = render_to_string("parts/pager.html", {"page": page}, request=request)
    assert 'href="?find=spruce&amp;page=1"' in html
    assert 'href="?find=spruce&amp;page=3"' in html
    assert "26–50 of 60" in html


def test_a_single_page_needs_no_pager():
    assert not render_to_string("parts/pager.html", {"page": Paginator([1], 25).page(1)}).strip()


def test_a_field_has_its_label_hint_and_unit():
    html = str(BoardForm())
    assert '<label for="id_name">Name</label>' in html
    assert '<p class="hint" id="id_name_helptext">As at the bench.</p>' in html
    assert "<span>mm</span>" in html
    assert html.count('class="optional"') == 1
    assert "<legend>State</legend>" in html
    assert "refusal" not in html


def test_errors_stand_on_top_and_beside_their_field():
    html = str(BoardForm({"name": "Maple", "length": "long", "state": "s"}))
    sentence = "This is not a number: write one such as 2.5."
    assert f'<a href="#id_length">Length</a>: {sentence}' in html
    assert f'<ul class="errorlist" id="id_length_error"><li>{sentence}</li></ul>' in html
    assert html.count('class="field wrong"') == 1


def test_an_error_of_the_whole_form_stands_on_top_once():
    form = BoardForm({"name": "Maple", "length": "2400", "state": "s"})
    form.add_error(None, "This board came in this morning.")
    assert str(form).count("This board came in this morning.") == 1


def test_a_hidden_field_is_not_labelled():
    html = str(BoardForm())
    assert html.count('name="lot"') == 1
    assert "Lot" not in html
