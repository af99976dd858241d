"""Rows of money: what is open in the earlier books."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from inventory.actions.ledger.checks import locked_through
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.text_fields import LineField
from inventory.forms.deposits.deposits import OpeningForm
from inventory.forms.imports.office import SupplierNamed, by_name
from inventory.forms.imports.readers import Key, ListReader, NamedField, plain
from inventory.models import CrateTerms, CrateType, Deposit, Location, Supplier
from inventory.rules.core.text import normal_identifier
from inventory.rules.imports import money_kinds
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents


class _Known:
    """What the rows of one file are compared with, read once."""

    def __init__(self, location: Location) -> None:
        self.places = Location.objects.filter(pk=location.pk)
        self.location = location
        self.suppliers = by_name(Supplier.objects.all())
        types = CrateType.objects.all()
        self.types = {(one.supplier_id, plain(one.name)): one for one in types}
        self.terms = list(CrateTerms.objects.order_by("starts_on", "pk"))
        self.locked = locked_through(location)

    def currency(self, supplier: Supplier, on: dt.date) -> str:
        """Return the currency of the supplier's terms on a day, else the location's."""
        theirs = [
            one.currency
            for one in self.terms
            if one.supplier_id == supplier.pk and one.starts_on <= on
        ]
        return theirs[-1] if theirs else self.location.currency


class _DepositRow(OpeningForm):
    """One row of a list of open deposits."""

    creates = False

    location = NamedField(label="Location", absent="")  # type: ignore[assignment]
    supplier = SupplierNamed()  # type: ignore[assignment]
    crate_type = LineField(label="Crate type", most=60)  # type: ignore[assignment]

    def __init__(self, *args: Any, known: _Known, today: dt.date) -> None:
        self.known = known
        super().__init__(*args, places=known.places, today=today)
        self.fields["supplier"].rows = known.suppliers  # type: ignore[attr-defined]

    def clean_location(self) -> Location:
        """Return the location that the file was chosen for."""
        return self.known.location

    def clean_crate_type(self) -> CrateType | None:
        """Return the type of this supplier that is named."""
        name, supplier = (
            self.cleaned_data["crate_type"],
            self.cleaned_data.get("supplier"),
        )
        if not name or supplier is None:
            return None
        found = self.known.types.get((supplier.pk, plain(name)))
        if found is None:
            self.add_error(
                "crate_type", f"{supplier} has no crate type “{name}”. Add it first."
            )
        return found

    def _usual_currency(self) -> str:
        supplier = self.cleaned_data.get("supplier")
        on = self.cleaned_data.get("invoiced_on")
        if supplier is None or on is None:
            return str(self.known.location.currency)
        return self.known.currency(supplier, on)

    def clean(self) -> dict[str, Any]:
        """Refuse a day before the invoice, and one that is locked."""
        cleaned = super().clean()
        day, invoiced = cleaned.get("opened_on"), cleaned.get("invoiced_on")
        locked = self.known.locked
        if day and invoiced and day < invoiced:
            self.add_error("opened_on", "It cannot be open before its invoice date.")
        if day and locked and day <= locked:
            self.add_error(
                "opened_on",
                f"The books are locked through {in_words(locked)}. Choose a later day.",
            )
        return cleaned

    def own_fields(self) -> dict[str, Any]:
        """Return what the action is given."""
        got = dict(self.cleaned_data)
        return got | {"currency": got["currency"] or self._usual_currency()}


class _CreditRow(_DepositRow):
    """One row of a list of credits that are expected already."""

    # The day and the currency come first: they say how the amount is read.
    field_order = ("location", "supplier", "shipped_on", "currency")
    line_number = None  # type: ignore[assignment]
    opened_on = None  # type: ignore[assignment]
    invoice_number = None  # type: ignore[assignment]
    invoiced_on = None  # type: ignore[assignment]
    shipped_on = DayField(label="Shipped back on", required=True)
    bill_number = LineField(
        label="Our bill number",
        most=40,
        missing="Enter the number of the bill that the crates went back on.",
        is_identifier=True,
    )
    reference = LineField(label="Supplier's reference", most=40, is_identifier=True)

    def __init__(self, *args: Any, known: _Known, today: dt.date) -> None:
        super().__init__(*args, known=known, today=today)
        self.fields["shipped_on"].latest = today  # type: ignore[attr-defined]
        self.today = today

    def clean_shipped_on(self) -> dt.date:
        """Return the day, which the currency of the terms is read by."""
        day: dt.date = self.cleaned_data["shipped_on"]
        self.cleaned_data["invoiced_on"] = day
        return day

    def own_fields(self) -> dict[str, Any]:
        """Return what the action is given: posted on the day of the import."""
        got = super().own_fields()
        got.pop("invoiced_on", None)
        return got | {"opened_on": self.today}


class _MoneyReader(ListReader):
    """What the lists of money have in common."""

    def options(self) -> dict[str, Any]:
        """Return what each row's form is made with."""
        if self.location is None:
            raise LookupError("A list of money is read for one location.")
        return {"known": _Known(self.location), "today": self.today}

    def cell(self, name: str, text: str) -> str:
        """Return a cell as it would be typed."""
        return text.replace(";", "\n") if name == "marks" else text


class CreditReader(_MoneyReader):
    """Tries a list of credits that are expected already."""

    kind = money_kinds.EXPECTED_CREDITS
    row_form = _CreditRow
    usual = {"count": "1"}

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        rows = Deposit.objects.filter(is_withdrawn=False, shipped_back_on__isnull=False)
        found: dict[tuple[int, str, int], list[Deposit]] = {}
        for one in rows.select_related("supplier", "crate_type"):
            line = (one.supplier_id, one.invoice_number, one.line_number)
            found.setdefault(line, []).append(one)
        return {_credit_key(pieces) for pieces in found.values()}

    def key(self, cells: Mapping[str, str]) -> Key:
        """Return what makes a row the same as another."""
        marks = (normal_identifier(one) for one in cells["marks"].split(";"))
        return (
            plain(cells["supplier"]),
            normal_identifier(cells["bill_number"]),
            plain(cells["crate_type"]),
            *sorted(mark for mark in marks if mark),
            _amount_key(cells["amount_cents"]),
        )


def _credit_key(pieces: Sequence[Deposit]) -> Key:
    first = pieces[0]
    return (
        plain(first.supplier.name),
        first.shipped_back_bill,
        plain(first.crate_type.name if first.crate_type else ""),
        *sorted(one.mark for one in pieces if one.mark),
        _amount_key(format_cents(first.amount_cents, first.currency)),
    )


def _amount_key(text: str) -> str:
    """Return an amount as it is compared: 148, 148.0 and 148.00 are the same."""
    whole, _point, part = text.replace(",", "").strip().partition(".")
    return f"{whole}.{part.rstrip('0')}"


class DepositReader(_MoneyReader):
    """Tries a list of deposits that are open in the earlier books."""

    kind = money_kinds.OPENING_DEPOSITS
    row_form = _DepositRow
    usual = {"line_number": "1", "count": "1"}

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        rows = Deposit.objects.filter(is_withdrawn=False)
        told = rows.values_list("supplier__name", "invoice_number", "line_number")
        return {(plain(name), number, str(line)) for name, number, line in told}

    def key(self, cells: Mapping[str, str]) -> Key:
        """Return what makes a row the same as another."""
        number = normal_identifier(cells["invoice_number"])
        line = cells["line_number"] or self.usual["line_number"]
        return (plain(cells["supplier"]), number, line.lstrip("0"))
