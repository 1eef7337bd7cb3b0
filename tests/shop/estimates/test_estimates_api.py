"""Estimates over the API: the same figures as on the page, with what they were made from."""

from datetime import date
from decimal import Decimal

import pytest

from shop.hours.services.entries import log_hours
from shop.models import EstimateSettings
from tests.shop.factories import NOW, make_template, make_template_stage
from tests.shop.past_builds import make_past_build, make_past_builds, make_pattern

pytestmark = pytest.mark.django_db


@pytest.fixture
def pattern(workshop):
    return make_pattern()


def get(phone, pattern, what="estimate", **asked):
    return phone.get(f"/api/v1/templates/{pattern.pk}/{what}/", asked)


def test_an_estimate_comes_with_the_builds_behind_it(phone, pattern):
    first, *_ = make_past_builds(pattern, 4)
    told = get(phone, pattern).data
    assert (told["past_builds"], told["few"], told["number"]) == (4, False, 5)
    stage = told["stages"][0]
    assert stage["name"] == "Carve top"
    assert stage["hours"]["range_80"][0] < stage["hours"]["median"] < stage["hours"]["enough_80"]
    assert {one["serial"] for one in stage["past"]} == set(
        pattern.builds.values_list("serial", flat=True)
    )
    assert stage["past"][-1]["build_stages"] == [first.stages.first().pk]
    assert stage["quoted"] is None
    assert [row["serial"] for row in told["builds"]][-1] == first.serial


@pytest.mark.parametrize("level", ["likely", "mean", "80", "90"])
def test_hours_for_a_quote_add_up(phone, pattern, level):
    told = get(phone, pattern, level=level).data
    parts = [Decimal(stage["quoted"]) for stage in told["stages"]]
    assert sum(parts) == Decimal(told["total_quoted"])


def test_options_and_batch_are_asked_for(phone, pattern):
    scroll = pattern.options.create(name="Scroll, ornate", is_on=True)
    make_template_stage(pattern, "Scroll: carve", ("40", "55", "70"), option=scroll)
    assert len(get(phone, pattern).data["stages"]) == 4
    assert len(get(phone, pattern, plain=True).data["stages"]) == 3
    assert get(phone, pattern, option=["Scroll, ornate"]).data["options"] == ["Scroll, ornate"]
    assert get(phone, pattern, batch=2).data["batch"] == 2


def test_an_estimate_as_of_a_day_knows_only_what_was_finished(phone, pattern):
    make_past_builds(pattern, 4)
    assert get(phone, pattern, on="2020-05-01").data["past_builds"] == 2


@pytest.mark.parametrize(
    "asked", [{"batch": 0}, {"batch": "x"}, {"level": "70"}, {"on": "yesterday"}]
)
def test_what_can_not_be_meant_is_refused(phone, pattern, asked):
    assert get(phone, pattern, **asked).status_code == 400


def test_a_template_without_hours_is_a_conflict_told_in_a_sentence(phone, workshop):
    bare = make_template("Bare")
    for what in ("estimate", "back-test"):
        answer = get(phone, bare, what)
        assert answer.status_code == 409
        assert "Enter hours for its stages first" in answer.data["detail"]


def test_the_back_test_scores_what_was_said(phone, pattern):
    make_past_builds(pattern, 14)
    told = get(phone, pattern, "back-test").data
    assert told["total"]["count"] == len(told["builds"]) == 11
    assert 0 <= told["total"]["within_80"] <= 1
    assert [one["name"] for one in told["stages"]] == ["Carve top", "Carve neck", "Finish"]
    assert "80 % range" in told["verdict"]


def test_a_back_test_of_nothing_is_empty(phone, pattern):
    told = get(phone, pattern, "back-test").data
    assert (told["total"]["count"], told["total"]["loss"], told["calibration"]) == (0, None, [])


def test_learning_of_the_build_and_of_a_stage(phone, pattern):
    make_past_builds(pattern, 5)
    told = get(phone, pattern, "learning").data
    assert told["curve"]["builds"] == 5
    neck = pattern.stages.get(name="Carve neck")
    one = get(phone, pattern, "learning", stage=neck.pk).data
    assert one["curve"]["first_hours"] < told["curve"]["first_hours"]
    assert get(phone, pattern, "learning", stage=999999).status_code == 404


def test_a_stage_is_set_aside_and_counted_again(phone, pattern):
    (build,) = make_past_builds(pattern, 1)
    stage = build.stages.first()
    url = f"/api/v1/builds/{build.pk}/set-aside/"
    told = phone.post(url, {"is_set_aside": True, "stages": [stage.pk]}).data
    assert (told["is_set_aside"], told["stages_set_aside"]) == (False, [stage.pk])
    aside = get(phone, pattern).data["stages"][0]["past"][0]["set_aside"]
    assert aside == "stage"
    assert phone.post(url, {"is_set_aside": False, "stages": [stage.pk]}).data == {
        "build": build.pk,
        "is_set_aside": False,
        "stages_set_aside": [],
    }


def test_a_build_is_set_aside(phone, pattern):
    build, _ = make_past_builds(pattern, 2)
    url = f"/api/v1/builds/{build.pk}/set-aside/"
    assert phone.post(url, {"is_set_aside": True}).data["is_set_aside"] is True
    assert get(phone, pattern).data["past_builds"] == 1


def test_a_stage_of_another_build_is_a_conflict(phone, pattern):
    one, other = make_past_builds(pattern, 2)
    asked = {"is_set_aside": True, "stages": [other.stages.first().pk]}
    assert phone.post(f"/api/v1/builds/{one.pk}/set-aside/", asked).status_code == 409


def test_a_year_adds_up(phone, posy):
    log_hours(
        person=posy, day=date(2027, 3, 2), minutes=90, now=NOW, is_billable=False, reason="messages"
    )
    told = phone.get("/api/v1/hours/years/2027/").data
    assert (told["minutes"], told["billable_share"]) == (90, 0)
    assert told["into"] == [{"name": "messages", "minutes": 90, "part": 1, "billable": False}]
    assert phone.get("/api/v1/hours/years/0/").status_code == 404


def test_what_is_taken_for_granted_is_read_and_changed(phone, workshop):
    url = "/api/v1/estimate-settings/"
    read = phone.get(url)
    assert read.data["low_percentile"] == 10
    changes = {"low_percentile": 5, "half_life_years": None}
    assert phone.patch(url, changes).status_code == 428
    version = {"If-Match": read["ETag"]}
    assert phone.patch(url, changes, headers=version).status_code == 200
    row = EstimateSettings.objects.get()
    assert (row.low_percentile, row.half_life_years) == (5, None)
    assert phone.patch(url, changes, headers=version).status_code == 412
    version = {"If-Match": phone.get(url)["ETag"]}
    assert phone.patch(url, {"low_percentile": 60}, headers=version).status_code == 400


def test_related_patterns_are_kept(phone, pattern):
    other = make_pattern("Mandola")
    make_past_build(other, {"Carve top": 15})
    asked = {"template": pattern.pk, "related": other.pk, "weight": "0.40", "factor": "1.10"}
    assert phone.post("/api/v1/related-templates/", asked).status_code == 201
    assert get(phone, pattern).data["stages"][0]["past"][0]["is_related"] is True
    assert phone.post("/api/v1/related-templates/", asked).status_code == 400
    itself = phone.post("/api/v1/related-templates/", asked | {"related": pattern.pk})
    assert itself.status_code == 400
    assert "always counts for itself" in f"{itself.data}"


def test_who_only_looks_on_may_read_and_not_change(client, looker_on, pattern):
    client.force_login(looker_on)
    assert client.get(f"/api/v1/templates/{pattern.pk}/estimate/").status_code == 200
    answer = client.patch(
        "/api/v1/estimate-settings/", {"low_percentile": 5}, content_type="application/json"
    )
    assert answer.status_code == 403


@pytest.mark.parametrize("builds", [1, 25])
def test_an_estimate_takes_a_fixed_number_of_queries(
    phone, pattern, builds, django_assert_max_num_queries
):
    make_past_builds(pattern, builds)
    get(phone, pattern)  # its answer is kept from then on
    with django_assert_max_num_queries(13):
        get(phone, pattern)
