"""What a form says of a field, once: a label, and whether it may be left out."""

import pkgutil
from importlib import import_module

import pytest

import claims.forms
import inventory.forms
from inventory.forms.core.base import HouseForm
from inventory.forms.core.day_fields import DayField, MomentField


def _forms(of=HouseForm):
    for form in of.__subclasses__():
        yield form
        yield from _forms(form)


for package in (inventory.forms, claims.forms):
    for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
        import_module(module.name)

FIELDS = sorted(
    {
        (f"{form.__name__}.{name}", name): (form, field)
        for form in _forms()
        for name, field in form.base_fields.items()
    }.items()
)


@pytest.mark.parametrize(
    "field", [found[1] for _, found in FIELDS], ids=[key[0] for key, _ in FIELDS]
)
def test_a_field_says_once_that_it_may_be_left_out(field):
    assert "(optional)" not in str(field.label)


@pytest.mark.parametrize(
    "field",
    [found[1] for _, found in FIELDS if isinstance(found[1], DayField | MomentField)],
)
def test_a_day_is_picked_from_a_calendar(field):
    kind = "date" if isinstance(field, DayField) else "datetime-local"

    assert field.widget.input_type == kind
    assert "2026" not in str(field.help_text)
