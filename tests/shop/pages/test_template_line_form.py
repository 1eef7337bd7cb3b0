from shop.pages.template_forms import LineForm


def test_every_field_of_a_line_stands_in_one_section():
    shown = [name for _, _, names in LineForm.sections for name in names]
    assert sorted(shown) == sorted(LineForm.Meta.fields)
