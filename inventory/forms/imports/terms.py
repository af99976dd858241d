"""Rows of crate terms: each is one supplier's terms from one date on."""

from collections.abc import Mapping
from datetime import timedelta
from functools import cached_property
from typing import Any

from django.http import QueryDict

from inventory.forms.core.base import HouseForm
from inventory.forms.crates.terms import TermsForm
from inventory.forms.imports.office import by_name
from inventory.forms.imports.readers import Key, ListReader, pairs_of, plain
from inventory.models import CrateTerms, CrateType, Supplier
from inventory.rules.imports import kinds

_AHEAD = timedelta(days=731)
_SAID = {"yes": True, "no": False, "": None}
_FLAGS = {
    "includes_last_day": True,
    "needs_authorization": False,
    "needs_appointment": False,
}
"""The columns of yes and no, each with what an empty cell means."""


class _TermsRow(TermsForm):
    """One row of a list of terms, without prices of parts."""

    creates = False

    def __init__(self, *args: Any, supplier: Supplier, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.supplier = supplier


class TermsReader(ListReader):
    """Tries a list of crate terms."""

    kind = kinds.CRATE_TERMS
    row_form = _TermsRow
    usual = {
        "clock_starts": "invoice",
        "clock_stops": "receipt",
        "decline": "none",
        "return_freight": "us",
        "minimum_per_pickup": "1",
        "transit_days": "0",
        "unloading_days": "0",
        "memo_days": "30",
    }

    @cached_property
    def suppliers(self) -> dict[str, Supplier]:
        """Return every supplier by its plain name."""
        return by_name(Supplier.objects.all())

    @cached_property
    def types(self) -> dict[int, dict[str, CrateType]]:
        """Return the crate types by their supplier's key and their plain name."""
        found: dict[int, dict[str, CrateType]] = {}
        rows = CrateType.objects.prefetch_related("parts").order_by("name", "pk")
        for one in rows:
            found.setdefault(one.supplier_id, {})[plain(one.name)] = one
        return found

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        told = CrateTerms.objects.values_list("supplier__name", "starts_on")
        return {(plain(name), day.isoformat()) for name, day in told}

    def against(self, cells: Mapping[str, str]) -> str:
        """Return why no form can be made for a row."""
        supplier = self.suppliers.get(plain(cells["supplier"]))
        if supplier is None:
            name = cells["supplier"][:40]
            return f"There is no supplier “{name}”. Add it first, or correct the name."
        types = self.types.get(supplier.pk, {})
        for name, amount in pairs_of(cells["rates"]):
            if plain(name) not in types:
                return f"{supplier} has no crate type “{name[:40]}”. Add it first."
            if not amount:
                return f"Write the deposit of {name[:40]} after a colon, as in 185.00."
        for name in _FLAGS:
            if plain(cells[name]) not in _SAID:
                return f"{self.kind.columns[name]}: write Yes or No."
        return ""

    def form(self, cells: Mapping[str, str], options: Mapping[str, Any]) -> HouseForm:
        """Return the form of a row, filled in."""
        supplier = self.suppliers[plain(cells["supplier"])]
        types = self.types.get(supplier.pk, {})
        return _TermsRow(
            self._typed(cells, types),
            types=list(types.values()),
            latest=self.today + _AHEAD,
            initial={"currency": "USD"},
            supplier=supplier,
        )

    def _typed(
        self, cells: Mapping[str, str], types: Mapping[str, CrateType]
    ) -> QueryDict:
        data = self._sent(cells)
        for name, amount in pairs_of(cells["rates"]):
            data[f"rate_{types[plain(name)].pk}"] = amount
        steps = pairs_of(cells["steps"])
        data["step-TOTAL_FORMS"], data["step-INITIAL_FORMS"] = str(len(steps)), "0"
        for place, (day, percent) in enumerate(steps):
            data[f"step-{place}-day"] = day
            data[f"step-{place}-percent"] = percent
        for name, usual in {**_FLAGS, "oldest_first": True}.items():
            said = _SAID[plain(cells.get(name, ""))]
            data.pop(name, None)
            if usual if said is None else said:
                data[name] = "on"
        return data

    def fields(self, form: Any) -> Mapping[str, Any]:
        """Return what the action is given for a valid row."""
        return {"supplier": form.supplier, "told": form.told()}
