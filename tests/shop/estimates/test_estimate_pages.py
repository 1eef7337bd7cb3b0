"""Pages of a pattern's hours: what they say, what they open to, and setting aside with undo."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.queries.past_builds import assumptions_now
from shop.models import BuildTemplate, EstimateSettings, RelatedTemplate, TemplateOption
from tests.shop.factories import make_template, make_template_stage
from tests.shop.past_builds import make_past_build, make_past_builds, make_pattern

pytestmark = pytest.mark.django_db
PAGES = ("template_hours", "template_backtest", "template_learning", "template_basis")


@pytest.fixture
def pattern(workshop):
    return make_pattern()


def page(desk, name, pattern, **asked):
    answer = desk.get(reverse(name, args=[pattern.pk]), asked)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def plain(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("builds", [0, 1, 5])
def test_every_page_opens_with_few_builds(desk, pattern, name, builds):
    make_past_builds(pattern, builds)
    page(desk, name, pattern)


@pytest.mark.parametrize("name", PAGES[:3])
def test_a_pattern_without_hours_says_what_to_do_next(desk, workshop, name):
    bare = make_template("Bare")
    assert "Enter hours" in page(desk, name, bare)


@pytest.mark.parametrize(
    ("builds", "words"),
    [
        (0, "these are the template&#x27;s own figures"),
        (2, "Only 2 past builds so far: these are mostly the template&#x27;s own figures"),
    ],
)
def test_under_three_past_builds_it_says_whose_figures_these_are(desk, pattern, builds, words):
    make_past_builds(pattern, builds)
    assert words in page(desk, "template_hours", pattern)


def test_with_three_it_goes_by_them(desk, pattern):
    make_past_builds(pattern, 3)
    html = page(desk, "template_hours", pattern)
    assert "mostly the template" not in html
    assert ">3 builds<" in html


def test_an_estimate_opens_to_the_builds_behind_it(desk, pattern):
    first, _ = make_past_builds(pattern, 2)
    html = page(desk, "template_hours", pattern)
    why = html[html.index('<details class="why">') : html.index("</details>")]
    assert reverse("build", args=[first.pk]) in why
    assert "Template, likely 14:00 h weight 2.0 builds" in plain(why).replace("  ", " ")


def test_a_batch_and_options_can_be_asked_for(desk, pattern):
    option = TemplateOption.objects.create(template=pattern, name="Scroll", is_on=True)
    make_template_stage(pattern, "Scroll: carve", ("40", "55", "70"), option=option)
    assert "Scroll: carve" in page(desk, "template_hours", pattern)
    html = page(desk, "template_hours", pattern, options=1, batch=2)
    assert "in a batch of 2" in html
    assert "Scroll: carve" not in html


@pytest.mark.parametrize("batch", ["", "x", "0", "-3", "9999999"])
def test_a_batch_that_can_not_be_meant_does_no_harm(desk, pattern, batch):
    page(desk, "template_hours", pattern, batch=batch)


def test_a_stage_without_hours_is_pointed_out(desk, pattern):
    make_template_stage(pattern, "Photos", ("0", "0", "0"))
    assert "has no likely hours: Photos" in page(desk, "template_hours", pattern)


def test_hours_on_no_stage_are_told(desk, pattern):
    make_past_build(pattern, {"Carve top": 12, "Pickguard": 2})
    assert "+ 2:00 h on no stage of this template" in page(desk, "template_hours", pattern)


def test_a_build_is_set_aside_and_the_undo_counts_it_again(desk, pattern):
    first, *_ = make_past_builds(pattern, 3)
    here = reverse("template_hours", args=[pattern.pk])
    url = reverse("build_set_aside", args=[first.pk, "aside"])
    answer = desk.post(f"{url}?next={here}", follow=True)
    first.refresh_from_db()
    assert first.is_set_aside
    assert answer.redirect_chain[-1][0] == here
    html = answer.content.decode()
    assert f"{first.serial} left out of estimates." in html
    undo = re.search(r'data-undo>.*?action="([^"]+)"', html, re.DOTALL).group(1)
    desk.post(undo.replace("&amp;", "&"))
    first.refresh_from_db()
    assert not first.is_set_aside


def test_one_stage_of_a_build_is_set_aside_with_undo(desk, pattern):
    first, *_ = make_past_builds(pattern, 3)
    stage, other = first.stages.all()[:2]
    url = reverse("build_set_aside", args=[first.pk, "aside"])
    answer = desk.post(f"{url}?stage={stage.pk}", follow=True)
    assert set(first.stages.filter(is_set_aside=True)) == {stage}
    undo = re.search(r'data-undo>.*?action="([^"]+)"', answer.content.decode(), re.DOTALL).group(1)
    desk.post(undo.replace("&amp;", "&"))
    assert not first.stages.filter(is_set_aside=True)
    assert other.is_set_aside is False


def test_a_stage_of_another_build_is_not_touched(desk, pattern):
    first, second = make_past_builds(pattern, 2)
    stage = second.stages.first()
    url = reverse("build_set_aside", args=[first.pk, "aside"])
    html = desk.post(f"{url}?stage={stage.pk}", follow=True).content.decode()
    assert "has no such stage" in html
    stage.refresh_from_db()
    assert stage.is_set_aside is False


def test_the_way_back_never_leaves_the_shop(desk, pattern):
    (first,) = make_past_builds(pattern, 1)
    url = reverse("build_set_aside", args=[first.pk, "aside"])
    answer = desk.post(f"{url}?next=https://example.org/")
    assert answer.url == reverse("templates")


def test_who_only_looks_on_sets_nothing_aside(client, looker_on, pattern):
    (first,) = make_past_builds(pattern, 1)
    client.force_login(looker_on)
    assert client.post(reverse("build_set_aside", args=[first.pk, "aside"])).status_code == 403


def test_the_back_test_gives_its_verdict(desk, pattern):
    make_past_builds(pattern, 15)
    html = page(desk, "template_backtest", pattern)
    assert "12 builds were within the 80 % range" in html
    assert "All stages" in html


def test_the_back_test_waits_for_builds(desk, pattern):
    make_past_builds(pattern, 3)
    assert "Too few builds" in page(desk, "template_backtest", pattern)


def test_no_learning_curve_is_drawn_while_it_can_not_be_told_from_chance(desk, pattern):
    make_past_builds(pattern, 3)
    assert "A curve needs at least four builds" in page(desk, "template_learning", pattern)
    make_past_build(pattern, {"Carve top": 10, "Carve neck": 2, "Finish": 5})
    html = page(desk, "template_learning", pattern)
    assert "From 4 builds learning can&#x27;t be told from chance yet" in html
    assert "By the curve" not in html


def test_learning_of_one_stage(desk, pattern):
    make_past_builds(pattern, 5)
    stage = pattern.stages.get(name="Carve neck")
    html = page(desk, "template_learning", pattern, stage=stage.pk)
    assert "the first took about 3:18 h" in html
    assert "By the curve" in html


def test_a_partly_recorded_build_is_not_fitted(desk, pattern):
    make_past_builds(pattern, 4)
    make_past_build(pattern, {"Carve neck": 3})
    html = page(desk, "template_learning", pattern)
    assert "From 4 builds" in html
    assert "only partly recorded" in html


def test_another_pattern_is_counted_and_no_longer(desk, pattern):
    other = make_pattern("Mandola")
    url = reverse("template_basis", args=[pattern.pk])
    desk.post(url, {"related": other.pk, "weight": "0.4", "factor": "1.1"})
    row = RelatedTemplate.objects.get()
    assert (row.template, row.weight) == (pattern, Decimal("0.4"))
    desk.post(reverse("related_remove", args=[row.pk]))
    assert not RelatedTemplate.objects.exists()


@pytest.mark.parametrize(("field", "value"), [("weight", "0"), ("weight", "2"), ("factor", "0")])
def test_a_weight_that_can_not_be_meant_is_refused(desk, pattern, field, value):
    other = make_pattern("Mandola")
    given = {"related": other.pk, "weight": "0.4", "factor": "1.1"} | {field: value}
    answer = desk.post(reverse("template_basis", args=[pattern.pk]), given)
    assert answer.status_code == 422
    assert not RelatedTemplate.objects.exists()


def test_a_pattern_is_not_related_to_itself(desk, pattern):
    given = {"related": pattern.pk, "weight": "0.4", "factor": "1.1"}
    answer = desk.post(reverse("template_basis", args=[pattern.pk]), given)
    assert answer.status_code == 422


def test_those_made_before_are_kept(desk, pattern):
    desk.post(reverse("template_basis", args=[pattern.pk]), {"made_before": 12})
    assert BuildTemplate.objects.get(pk=pattern.pk).made_before == 12


USUAL = {
    "low_percentile": 10, "high_percentile": 90, "likely_is": "median", "worth": "2",
    "spread_worth": "6", "half_life_years": "6", "least_each_side": 3, "settled_number": 10,
    "common_share": "0.3", "common_worth": "3",
    "batch_doubt": "0.5", "option_doubt": "0.2", "learning_doubt": "0.1",
    "first_more": "0", "template_doubt": "0.3", "pooled_worth": "10", "drift_chance": "0.15",
}  # fmt: skip


def test_what_is_taken_for_granted_is_kept(desk, pattern):
    own = {"low_percentile": 5, "likely_is": "mode", "half_life_years": "", "settled_number": 6}
    desk.post(reverse("estimate_settings"), USUAL | own)
    row = EstimateSettings.objects.get()
    assert (row.low_percentile, row.likely_is, row.half_life_years) == (5, "mode", None)
    assert assumptions_now().settled_number == 6
    page(desk, "template_hours", pattern)


def test_what_stands_on_the_page_at_first_is_what_the_arithmetic_assumes(desk, workshop):
    desk.post(reverse("estimate_settings"), USUAL)
    assert EstimateSettings.objects.exists()
    assert assumptions_now() == Assumptions()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("low_percentile", "50"),
        ("worth", "0"),
        ("spread_worth", "2"),
        ("settled_number", "0"),
        ("common_share", "1"),
        ("option_doubt", "0"),
    ],
)
def test_what_can_not_be_meant_is_refused(desk, workshop, field, value):
    assert desk.post(reverse("estimate_settings"), USUAL | {field: value}).status_code == 422
    assert not EstimateSettings.objects.exists()


@pytest.mark.parametrize(
    ("name", "queries"),
    [("template_hours", 16), ("template_backtest", 14), ("template_learning", 14)],
)
@pytest.mark.parametrize("builds", [4, 25])
def test_pages_take_a_fixed_number_of_queries(
    desk, pattern, name, queries, builds, django_assert_num_queries
):
    make_past_builds(pattern, builds)
    page(desk, name, pattern)  # its answer is kept from then on
    with django_assert_num_queries(queries):
        page(desk, name, pattern)
