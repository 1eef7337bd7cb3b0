"""Hours from past builds: at the level named, stage by stage, remembered, never over a hand's."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.base.refusals import Refusal
from quotes.models import Quote
from quotes.quoting.services.hours import take_hours
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import edit_rows
from shop.estimates.queries.estimates import levels_for
from tests.quotes.factories import ON, make_client, make_commission, make_policy, make_quote
from tests.shop.factories import NOW, make_template_stage
from tests.shop.past_builds import make_past_builds, make_pattern

pytestmark = pytest.mark.django_db


@pytest.fixture
def pattern(workshop):
    make_policy()
    template = make_pattern()
    make_past_builds(template, 4, hours=(20, 3, 6))
    return template


@pytest.fixture
def draft(pattern):
    return make_quote(template=pattern)


def rows_of(quote):
    return list(Quote.objects.get(pk=quote.pk).stages.all())


@pytest.mark.parametrize(
    ("level", "words"), [("likely", "likely"), ("mean", "average"), ("80", "80 %"), ("90", "90 %")]
)
def test_all_stages_share_the_totals_hours_and_remember_the_level(draft, pattern, level, words):
    take_hours(quote=draft, on=ON, level=level)
    found = levels_for(pattern, on=ON, options=[])
    rows = rows_of(draft)
    assert sum(row.hours for row in rows) == found.totals[level]
    assert {row.basis for row in rows} == {f"estimate, {words}, 4 past builds"}
    first = found.stages[rows[0].template_stage_id]
    assert (rows[0].hours_low, rows[0].hours_high) == (first.low, first.high)


def test_one_stage_can_be_taken_at_a_level_of_its_own(draft, pattern):
    top, neck, finish = rows_of(draft)
    take_hours(quote=draft, on=ON, stages={finish.pk: "90"})
    after = rows_of(draft)
    own = levels_for(pattern, on=ON).stages[finish.template_stage_id]
    assert after[2].hours == own.alone["90"]
    assert after[2].basis == "estimate, 90 %, 4 past builds"
    assert [row.basis for row in after[:2]] == ["template, likely"] * 2
    assert [row.hours for row in after[:2]] == [top.hours, neck.hours]


def test_hours_set_by_hand_stay_unless_they_are_asked_for(draft):
    neck = rows_of(draft)[1]
    edit_rows(quote=draft, stages={neck.pk: {"hours": Decimal("4.25")}})
    take_hours(quote=draft, on=ON, level="80")
    assert (rows_of(draft)[1].hours, rows_of(draft)[1].basis) == (Decimal("4.25"), "set by hand")
    take_hours(quote=draft, on=ON, level="80", by_hand=True)
    assert rows_of(draft)[1].basis == "estimate, 80 %, 4 past builds"


def test_a_taken_figure_can_be_changed_by_hand(draft):
    take_hours(quote=draft, on=ON, level="80")
    top = rows_of(draft)[0]
    edit_rows(quote=draft, stages={top.pk: {"hours": Decimal(12)}})
    assert rows_of(draft)[0].basis == "set by hand"


def test_a_batch_takes_fewer_hours_each(pattern):
    pattern.stages.update(saving_two=Decimal("0.2"))
    one, both = (make_quote(template=pattern, commission=make_commission()) for _ in range(2))
    take_hours(quote=one, on=ON, level="likely")
    take_hours(quote=both, on=ON, level="likely", batch=2)
    assert sum(r.hours for r in rows_of(both)) < sum(r.hours for r in rows_of(one))


def test_an_option_that_is_off_gets_its_own_figure(pattern):
    scroll = pattern.options.create(name="Scroll")
    make_template_stage(pattern, "Scroll: carve", ("40", "55", "70"), option=scroll)
    draft = make_quote(template=pattern)
    take_hours(quote=draft, on=ON, level="likely")
    row = rows_of(draft)[3]
    # The template's 55 h, put right by what the other stages say of the whole template.
    assert 55 < row.hours < 70
    assert row.basis == "estimate, likely, no past build"


def test_a_row_of_the_makers_own_is_left_alone(draft):
    draft.stages.create(position=9, name="French polish", hours=7)
    take_hours(quote=draft, on=ON, level="mean")
    assert rows_of(draft)[-1].hours == 7


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({}, "Choose a level"),
        ({"level": "70"}, "“70” is not a level of the estimate"),
        ({"stages": {999: "80"}}, "has no estimate"),
    ],
)
def test_what_can_not_be_taken_is_refused(draft, asked, sentence):
    with pytest.raises(Refusal, match=sentence):
        take_hours(quote=draft, on=ON, **asked)
    assert {row.basis for row in rows_of(draft)} == {"template, likely"}


def test_a_quote_without_a_template_has_nothing_to_go_by(draft):
    Quote.objects.update(template=None)
    with pytest.raises(Refusal, match="no past builds to estimate from"):
        take_hours(quote=draft, on=ON, level="80")


def test_what_was_sent_stays_as_it_is(draft):
    issue_quote(quote=draft, on=ON, now=NOW)
    with pytest.raises(Refusal, match="a sent quote stays as it is"):
        take_hours(quote=draft, on=ON, level="80")


def test_the_page_shows_every_level_and_takes_one(desk, draft):
    url = reverse("quote_hours", args=[draft.pk])
    html = desk.get(url).content.decode()
    assert "From 4 past builds" in html
    finish = rows_of(draft)[2]
    desk.post(url, {"level": "80", f"level-{finish.pk}": "90"})
    assert [row.basis[:14] for row in rows_of(draft)] == ["estimate, 80 %"] * 2 + ["estimate, 90 %"]


def test_the_page_says_what_is_wrong(desk, draft):
    answer = desk.post(reverse("quote_hours", args=[draft.pk]), {})
    assert answer.status_code == 409
    assert "Choose a level" in answer.content.decode()


def test_the_page_of_a_quote_without_a_template_says_so(desk, draft):
    Quote.objects.update(template=None)
    html = desk.get(reverse("quote_hours", args=[draft.pk])).content.decode()
    assert "no past builds to estimate from" in html


def test_the_api_tells_the_levels_and_takes_one(phone, draft):
    url = f"/api/v1/quotes/{draft.pk}/hours/"
    told = phone.get(url, {"batch": 2}).data
    assert [level["level"] for level in told["levels"]] == ["likely", "mean", "80", "90"]
    assert len(told["stages"]) == 3
    answer = phone.post(
        url, {"level": "80", "stages": [{"id": rows_of(draft)[0].pk, "level": "90"}]}
    )
    assert answer.status_code == 200
    assert answer.data["stages"][0]["basis"] == "estimate, 90 %, 4 past builds"
    assert answer.data["stages"][1]["basis"] == "estimate, 80 %, 4 past builds"


@pytest.mark.parametrize(
    ("asked", "status"), [({"level": "70"}, 400), ({}, 409), ({"level": "80", "batch": 0}, 400)]
)
def test_the_api_refuses_what_can_not_be_meant(phone, draft, asked, status):
    assert phone.post(f"/api/v1/quotes/{draft.pk}/hours/", asked).status_code == status


@pytest.mark.parametrize("builds", [1, 25])
def test_taking_hours_takes_a_fixed_number_of_queries(workshop, builds, django_assert_num_queries):
    make_policy()
    template = make_pattern()
    make_past_builds(template, builds)
    draft = make_quote(template=template, commission=make_commission(make_client()))
    with django_assert_num_queries(22):
        take_hours(quote=draft, on=ON, level="80")
