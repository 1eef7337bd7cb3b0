"""Rows for every model, and more like them, so that whatever grows with rows is seen to grow."""

from datetime import UTC, date, datetime, time
from decimal import Decimal
from itertools import count
from uuid import UUID

from django.apps import apps
from django.db import IntegrityError, models, transaction
from django.db.models.fields import NOT_PROVIDED

OURS = ("inventory", "shop", "quotes")
ONLY_ONE = {"workshop", "pricingpolicy", "stockrules", "workingweek", "estimatesettings"}
"""Models of which there is one row."""
PLAIN = {
    models.DateTimeField: datetime(2027, 3, 16, 9, 0, tzinfo=UTC),
    models.DateField: date(2027, 3, 16),
    models.TimeField: time(9),
    models.DecimalField: Decimal(1),
    models.IntegerField: 1,
    models.FileField: "some.file",
    models.UUIDField: UUID(int=1),
    models.CharField: "x",
    models.TextField: "x",
    models.JSONField: {},
    models.BooleanField: True,
}
serial = count(2000)


def our_models():
    return [one for one in apps.get_models() if one._meta.app_label in OURS]


def fill_empty_models():
    """Write one row of every model that has none, as plain as it can be."""
    for model in our_models():
        if not model._base_manager.exists():
            fields = [field for field in model._meta.concrete_fields if not is_counted(field)]
            save(model(**{field.attname: first_value(field) for field in fields}))


def first_value(field):
    """Return the plainest value of a field; of another model, its first row."""
    if field.is_relation:
        return field.related_model._base_manager.values_list("pk", flat=True).first()
    if field.choices:
        return field.choices[0][0]
    if field.default is not NOT_PROVIDED and field.default != "":
        return field.get_default()
    return next(value for kind, value in PLAIN.items() if isinstance(field, kind))


def multiply_rows(each, most):
    """Add `each` copies of the first `most` rows of every model, below the same parents."""
    copies = {}
    for model in our_models():
        if model._meta.model_name in ONLY_ONE:
            continue
        for row in list(model._base_manager.order_by("pk")[:most]):
            made = [save(copy_of(row, number, copies)) for number in range(each)]
            copies[model, row.pk] = [one for one in made if one]


def save(row):
    """Save a row as it is and return it; None where the books allow no such row."""
    try:
        with transaction.atomic():
            row.save_base(raw=True, force_insert=True)
    except IntegrityError:
        return None
    return row


def copy_of(row, number, copies):
    """Return another like `row`, different in as much as the rules of its model ask."""
    distinct = set(fields_to_vary(type(row)))
    values = {
        field.attname: field.value_from_object(row)
        for field in row._meta.concrete_fields
        if not is_counted(field)
    }
    for field in distinct:
        values[field.attname] = varied(field, values[field.attname], number, copies)
    return type(row)(**values)


def fields_to_vary(model):
    """Yield the fields by which rows have to differ; a relation only where nothing else does."""
    known = [field for field in model._meta.concrete_fields if not is_counted(field)]
    groups = [[field.name] for field in known if field.unique]
    groups += [one.fields for one in model._meta.constraints if hasattr(one, "fields")]
    for group in groups:
        fields = [field for field in known if field.name in group]
        yield from [field for field in fields if not field.is_relation] or fields


def is_counted(field):
    """Say whether the database gives the field its value."""
    return field.primary_key and not field.is_relation


def varied(field, value, number, copies):
    """Return a value like `value` that no other row has; of another row, its copy."""
    if value in (None, ""):
        return value
    if field.is_relation:
        twins = copies.get((field.related_model, value), [])
        return twins[number].pk if number < len(twins) else value
    if isinstance(field, models.UUIDField):
        return UUID(int=next(serial))
    if isinstance(field, models.CharField):
        ending = str(next(serial))
        return value[: (field.max_length or 100) - len(ending)] + ending
    return next(serial) if isinstance(field, models.IntegerField) else value
