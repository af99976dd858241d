"""Rows of the office's lists: carriers, suppliers, people, crate types."""

import re
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError

from inventory.forms.core.base import HouseForm
from inventory.forms.core.text_fields import LineField
from inventory.forms.crates.types import MOST_PARTS, CrateTypeForm
from inventory.forms.imports.readers import (
    Key,
    ListReader,
    NamedField,
    pairs_of,
    plain,
)
from inventory.forms.people.partners import CarrierForm, SupplierForm
from inventory.forms.people.people import PersonForm
from inventory.models import Carrier, CrateType, Location, Supplier, User
from inventory.rules.core.roles import ROLES
from inventory.rules.imports import kinds

ROLES_BY_WORD = {plain(words): role for role, words in ROLES.items()}


class _CarrierRow(CarrierForm):
    """One row of a list of carriers."""

    creates = False
    period_names = {}


class CarrierReader(ListReader):
    """Tries a list of carriers."""

    kind = kinds.CARRIERS
    row_form = _CarrierRow
    usual = {"mode": "motor", "mail_days": "5"}

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        return {
            (plain(name),) for name in Carrier.objects.values_list("name", flat=True)
        }


class _SupplierRow(SupplierForm):
    """One row of a list of suppliers."""

    creates = False
    period_names = {}


class SupplierReader(ListReader):
    """Tries a list of suppliers."""

    kind = kinds.SUPPLIERS
    row_form = _SupplierRow
    usual = {"standing_order": "none"}

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        names = Supplier.objects.values_list("name", flat=True)
        return {(plain(name),) for name in names}


class _PersonRow(PersonForm):
    """One row of a list of people: without a password and never an administrator."""

    creates = False
    password = None  # type: ignore[assignment]
    is_administrator = None  # type: ignore[assignment]
    location = NamedField(
        label="Location", absent="There is no location “{name}”. Add it first."
    )
    roles = LineField(label="Roles", most=120)

    def __init__(self, *args: Any, all_places: list[Location], **kwargs: Any) -> None:
        super().__init__(*args, places=[], **kwargs)
        self.all_places = all_places
        names = {plain(place.name): place for place in all_places}
        codes = {plain(place.code): place for place in all_places}
        self.fields["location"].rows = codes | names  # type: ignore[attr-defined]

    def clean_roles(self) -> list[str]:
        """Return the keys of the roles that are named."""
        words = re.split(r"[;,]", self.cleaned_data["roles"])
        named = [word.strip() for word in words if word.strip()]
        for word in named:
            if plain(word) not in ROLES_BY_WORD:
                raise ValidationError(
                    f"“{word[:40]}” is no role. Use {'; '.join(ROLES.values())}."
                )
        return [ROLES_BY_WORD[plain(word)] for word in named]

    def clean(self) -> dict[str, Any]:
        """Ask where a role is held, unless there is one location only."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("roles") and "location" in cleaned:
            only = self.all_places[0] if len(self.all_places) == 1 else None
            cleaned["location"] = cleaned["location"] or only
            if cleaned["location"] is None:
                self.add_error("location", "A role is held at a location. Name it.")
        return cleaned

    def own_fields(self) -> dict[str, Any]:
        """Return what the action is given."""
        got = self.cleaned_data
        plain_ones = ("username", "full_name", "email", "phone")
        return {name: got[name] for name in plain_ones} | {
            "assigned": {(got["location"].pk, role) for role in got["roles"]}
        }


class PeopleReader(ListReader):
    """Tries a list of people."""

    kind = kinds.PEOPLE
    row_form = _PersonRow

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        names = User.objects.values_list("username", flat=True)
        return {(plain(name),) for name in names}

    def options(self) -> dict[str, Any]:
        """Return what each row's form is made with."""
        return {"all_places": list(Location.objects.order_by("name"))}


class SupplierNamed(NamedField):
    """The supplier of a row."""

    def __init__(self) -> None:
        super().__init__(
            label="Supplier",
            absent="There is no supplier “{name}”. Add it first, or correct the name.",
        )


class _CrateTypeRow(CrateTypeForm):
    """One row of a list of crate types."""

    creates = False
    supplier = SupplierNamed()

    def __init__(self, *args: Any, suppliers: dict[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["supplier"].rows = suppliers  # type: ignore[attr-defined]

    def own_fields(self) -> dict[str, Any]:
        """Return what the action is given."""
        more = {"supplier": self.cleaned_data["supplier"], "parts": self.parts()}
        return super().own_fields() | more


class CrateTypeReader(ListReader):
    """Tries a list of crate types."""

    kind = kinds.CRATE_TYPES
    row_form = _CrateTypeRow
    usual = {
        "build": "wood",
        "kept_by": "mark",
        "size_unit": "in",
        "weight_unit": "lb",
        "most_stacked": "1",
    }

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        pairs = CrateType.objects.values_list("supplier__name", "name")
        return {(plain(supplier), plain(name)) for supplier, name in pairs}

    def options(self) -> dict[str, Any]:
        """Return what each row's form is made with."""
        return {"suppliers": by_name(Supplier.objects.all())}

    def against(self, cells: Mapping[str, str]) -> str:
        """Return what is wrong in the parts list."""
        pairs = pairs_of(cells["parts"])
        names = [plain(name) for name, _count in pairs]
        if len(names) > MOST_PARTS:
            return f"Parts list: up to {MOST_PARTS} parts. Enter the rest on its page."
        for place, (name, count) in enumerate(pairs):
            if not name or not count.isascii() or not count.isdigit():
                return "Parts list: write each part with its number, as in Base: 1."
            if names[place] in names[:place]:
                return f"Parts list: {name[:40]} is listed twice."
        return ""

    def form(self, cells: Mapping[str, str], options: Mapping[str, Any]) -> HouseForm:
        """Return the form of a row, filled in, its parts too."""
        data = self._sent(cells)
        pairs = pairs_of(data.get("parts", ""))
        data["part-TOTAL_FORMS"], data["part-INITIAL_FORMS"] = str(len(pairs)), "0"
        for place, (name, count) in enumerate(pairs):
            data[f"part-{place}-name"] = name
            data[f"part-{place}-count"] = count
        return self.row_form(data, **options)


def by_name(rows: Any) -> dict[str, Any]:
    """Return rows by their plain name."""
    return {plain(row.name): row for row in rows}
