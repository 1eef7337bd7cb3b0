from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from shop.models import BuildTemplate
from shop.patterns.services.templates import copy_template, load_starters

pytestmark = pytest.mark.django_db


@pytest.fixture
def original():
    load_starters()
    return BuildTemplate.objects.get(name="Solid electric bouzouki")


def test_a_copy_is_the_same_pattern_with_rows_of_its_own(original):
    copy = copy_template(template=original, name="Electric, five strings")
    assert not copy.is_starter
    assert list(copy.stages.values_list("name", "hours_likely", "option__name")) == list(
        original.stages.values_list("name", "hours_likely", "option__name")
    )
    assert list(copy.lines.values_list("name", "cost_likely", "waste_rate", "stage__name")) == list(
        original.lines.values_list("name", "cost_likely", "waste_rate", "stage__name")
    )
    assert not copy.lines.exclude(stage__template=copy).exists()
    assert not copy.lines.exclude(option=None).exclude(option__template=copy).exists()


def test_changing_the_copy_leaves_the_original_alone(original):
    copy = copy_template(template=original, name="Electric, five strings")
    copy.lines.update(cost_likely=Decimal(1))
    copy.stages.all().delete()
    assert original.lines.filter(cost_likely=Decimal("11.80")).exists()
    assert original.stages.count() == 16


def test_two_templates_never_share_a_name(original):
    with pytest.raises(Refusal, match="There is already"):
        copy_template(template=original, name="Flat-top guitar")
