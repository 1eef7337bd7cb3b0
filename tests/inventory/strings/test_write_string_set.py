from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.kits.services import draw_kit, save_recipe
from inventory.models import Recipe, SingleString, StringSet
from inventory.strings.calc.string_sets import PlannedString
from inventory.strings.queries import fittings_of
from inventory.strings.services import StringChosen, save_string_set
from tests.factories import NOW, make_material
from tests.inventory.stocked import stocked

pytestmark = pytest.mark.django_db
WEIGHT = Decimal("4.27956")


@pytest.fixture
def singles(workshop):
    return {name: stocked(name=f"single {name}", quantity=24) for name in ("10", "14", "36")}


@pytest.fixture
def material(workshop):
    return make_material("Mandolin set")


def chosen(material, pitch, gauge, count=2, weight=None):
    string = PlannedString(pitch=pitch, gauge=Decimal(gauge), count=count, grams_per_metre=weight)
    return StringChosen(material=material, string=string)


def write(material, strings, **fields):
    return save_string_set(material=material, scale_mm=Decimal(350), strings=strings, **fields)


def parts_of(material):
    parts = Recipe.objects.get(material=material).parts.all()
    return {part.material.name: part.quantity for part in parts}


def test_the_recipe_follows_the_strings(material, singles):
    write(
        material,
        [
            chosen(singles["36"], "G3", "36", weight=WEIGHT),
            chosen(singles["10"], "E5", "10"),
            chosen(singles["10"], "B4", "10", count=1),
        ],
    )
    assert parts_of(material) == {"single 36": 2, "single 10": 3}
    assert SingleString.objects.get(material=singles["36"]).grams_per_metre == WEIGHT


def test_writing_again_replaces_strings_and_keeps_the_sleeve(material, singles):
    sleeve = make_material("sleeve")
    save_recipe(material=material, parts=[(sleeve, Decimal(1))])
    first = write(material, [chosen(singles["10"], "E5", "10")])
    again = write(material, [chosen(singles["14"], "A4", "14")], instrument="Mandolin")
    assert (first, again.instrument) == (again, "Mandolin")
    assert [row.pitch for row in again.strings.all()] == ["A4"]
    assert parts_of(material) == {"single 14": 2, "sleeve": 1}


@pytest.mark.parametrize(
    ("strings", "words"),
    [
        ([], "at least one string"),
        ([("10", "H5", "10", 2)], "is not a note"),
        ([("10", "E5", "10", 5)], "1 to 4 strings"),
        ([("10", "E5", "10", 2), ("10", "B4", "11", 2)], "two different gauges"),
    ],
)
def test_what_can_t_be_is_said_and_nothing_kept(material, singles, strings, words):
    with pytest.raises(Refusal, match=words):
        write(material, [chosen(singles[name], *rest) for name, *rest in strings])
    assert not StringSet.objects.exists()


def test_whom_a_set_was_drawn_for_is_known(material, singles):
    row = write(material, [chosen(singles["10"], "E5", "10")])
    draw_kit(recipe=row.recipe, quantity=Decimal(1), holder="build:7", now=NOW)
    assert [one.holder for one in fittings_of(row)] == ["build:7"]
    other = write(make_material("Another set"), [chosen(singles["10"], "E5", "10")])
    assert fittings_of(other) == []
