"""Copy a template under a new name, so that a pattern can be changed without losing the old."""

from typing import TypeVar

from django.db import models, transaction

from inventory.refusals import Refusal
from shop.models import (
    BuildTemplate,
    TemplateFailure,
    TemplateLine,
    TemplateOption,
    TemplateStage,
)

Row = TypeVar("Row", bound=models.Model)


@transaction.atomic
def copy_template(*, template: BuildTemplate, name: str) -> BuildTemplate:
    """Return a new template with the options, stages, lines and failures of `template`.

    The copy is the maker's own: no starter, no past builds. Raises Refusal when the name is taken.
    """
    if BuildTemplate.objects.filter(name=name).exists():
        raise Refusal(f"A template named “{name}” is there already. Choose another.", field="name")
    copy = BuildTemplate.objects.create(
        name=name, description=template.description, note_to_self=template.note_to_self
    )
    options: dict[int | None, TemplateOption] = {
        option.pk: TemplateOption.objects.create(
            template=copy, name=option.name, is_on=option.is_on, one_of=option.one_of
        )
        for option in template.options.all()
    }
    stages: dict[int | None, TemplateStage] = {
        stage.pk: _copied(stage, template=copy, option=options.get(stage.option_id))
        for stage in template.stages.all()
    }
    lines: dict[int | None, TemplateLine] = {
        line.pk: _copied(
            line,
            template=copy,
            option=options.get(line.option_id),
            stage=stages.get(line.stage_id),
        )
        for line in template.lines.all()
    }
    for failure in TemplateFailure.objects.filter(stage__template=template):
        made = _copied(
            failure,
            stage=stages[failure.stage_id],
            redo_from=stages.get(failure.redo_from_id),
        )
        made.lost.set(lines[line.pk] for line in failure.lost.all())
    return copy


def _copied(row: Row, **changed: models.Model | None) -> Row:
    """Save a second row with the fields of `row`, some of them changed."""
    fields = {
        field.attname: getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if not field.primary_key and field.name not in changed
    }
    return type(row)._default_manager.create(**fields, **changed)
