from shop.patterns.forms import TemplateLineForm


def test_every_field_of_a_line_stands_in_one_section():
    shown = [name for _, _, names in TemplateLineForm.sections for name in names]
    assert sorted(shown) == sorted(TemplateLineForm.Meta.fields)
