"""Rows of open claims from a list, as if typed into a form."""

import datetime as dt
from collections.abc import Mapping
from functools import cached_property
from typing import Any

from django.core.exceptions import ValidationError

from claims.actions.claim.bringing_in import Told
from claims.rules.claim.told import OPEN_CLAIMS
from inventory.forms.core.base import HouseForm
from inventory.forms.core.day_fields import DayField, read_day
from inventory.forms.core.number_fields import MoneyField, read_money_in
from inventory.forms.core.text_fields import LineField, TextField
from inventory.forms.imports.office import by_name
from inventory.forms.imports.readers import (
    Key,
    ListReader,
    NamedField,
    pairs_of,
    plain,
)
from inventory.models import Carrier, Location, Shipment
from inventory.rules.codes.normal_keys import normal_key
from inventory.rules.core.text import normal_pro
from inventory.rules.reckoning.money import MoneyError, check_currency, parse_amount

_DAYS = ("billed_on", "delivered_on", "filed_on", "declined_on", "offered_on")
_TOLD = (
    "billed_on",
    "filed_on",
    "filed_proof",
    "delivered_on",
    "delivered_proof",
    "declined_on",
    "declined_proof",
    "offered_on",
    "offered_cents",
    "note",
)


class _ClaimRow(HouseForm):
    """One row of a list of open claims."""

    carrier = NamedField(
        label="Carrier",
        absent="There is no carrier “{name}”. Add it first, or correct the name.",
    )
    pro_number = LineField(label="PRO number", most=30, is_identifier=True)
    currency = LineField(label="Currency", most=3, is_identifier=True)
    billed_on = DayField(label="Bill date", required=True)
    delivered_on = DayField(label="Delivered on")
    delivered_proof = LineField(label="Proof of the delivery day", most=200)
    filed_on = DayField(label="Claim filed on", required=True)
    filed_proof = LineField(label="Proof of filing", most=200)
    carrier_claim_number = LineField(label="Carrier's claim number", most=40)
    claimed_cents = MoneyField(label="Amount claimed", required=True, least=1)
    received = LineField(label="Amounts received", most=300)
    declined_on = DayField(label="Declined on")
    declined_proof = LineField(label="Proof of the denial", most=200)
    offered_on = DayField(label="Offer dated")
    offered_cents = MoneyField(label="Offer", least=1)
    note = TextField(label="Note", most=1000)

    def __init__(
        self,
        *args: Any,
        location: Location,
        today: dt.date,
        carriers: Mapping[str, Any],
    ) -> None:
        super().__init__(*args)
        self.location, self.today = location, today
        fields: dict[str, Any] = self.fields
        fields["carrier"].rows = carriers
        for name in _DAYS:
            fields[name].latest = today
        read_money_in(self, location.currency)

    def clean_pro_number(self) -> str:
        """Return the number as bills keep it."""
        return normal_pro(self.cleaned_data["pro_number"])

    def clean_currency(self) -> str:
        """Return the currency, usually the location's; the amounts are read in it."""
        code = self.cleaned_data["currency"] or str(self.location.currency)
        try:
            read_money_in(self, check_currency(code))
        except MoneyError as error:
            raise ValidationError(str(error)) from error
        return code

    def clean_received(self) -> list[tuple[dt.date, int]]:
        """Return each day with what came in on it."""
        currency = self.cleaned_data.get("currency", str(self.location.currency))
        found = []
        for day, amount in pairs_of(self.cleaned_data["received"]):
            if not day or not amount:
                raise ValidationError(
                    "Write each as day and amount, as in 2026-03-20: 300.00, and set them "
                    "off with a semicolon."
                )
            try:
                cents = parse_amount(amount, currency)
            except MoneyError as error:
                raise ValidationError(str(error)) from error
            on = read_day(day)
            if on > self.today or not cents:
                raise ValidationError(f"{day}: that is in the future, or of nothing.")
            found.append((on, cents))
        return found

    def clean(self) -> dict[str, Any]:
        """Refuse days out of their order, and a claim of which nothing is open."""
        got: dict[str, Any] = super().clean() or {}
        billed, filed = got.get("billed_on"), got.get("filed_on")
        for name, first, what in (
            ("delivered_on", billed, "the bill's date"),
            ("filed_on", billed, "the bill's date"),
            ("declined_on", filed, "the claim was filed"),
            ("offered_on", filed, "the claim was filed"),
        ):
            day = got.get(name)
            if day and first and day < first:
                self.add_error(name, f"It is before {what}. Check both days.")
        for name in ("delivered", "declined"):
            if got.get(f"{name}_proof") and not got.get(f"{name}_on"):
                self.add_error(f"{name}_on", "There is a proof, but no day.")
        if bool(got.get("offered_on")) != (got.get("offered_cents") is not None):
            self.add_error("offered_cents", "An offer has a day and an amount.")
        came = sum(cents for _day, cents in got.get("received") or ())
        if came and came >= (got.get("claimed_cents") or came + 1):
            self.add_error("received", "All of it was received, so it is not open.")
        return got

    def own_fields(self) -> dict[str, Any]:
        """Return what the action is given."""
        got = dict(self.cleaned_data)
        told = Told(**{name: got.pop(name) for name in _TOLD})
        return got | {"location": self.location, "told": told}


class ClaimReader(ListReader):
    """Tries a list of open claims."""

    kind = OPEN_CLAIMS
    row_form = _ClaimRow

    @cached_property
    def bills(self) -> dict[Key, bool]:
        """Return, by carrier and number, whether a bill has a claim from a list here."""
        rows = Shipment.objects.values_list(
            "carrier__name", "pro_key", "is_earlier", "location_id"
        )
        here = self.location.pk if self.location else None
        return {
            (plain(carrier), pro): is_earlier and place == here
            for carrier, pro, is_earlier, place in rows
        }

    def key(self, cells: Mapping[str, str]) -> Key:
        """Return what makes a row the same as another."""
        return (
            plain(cells["carrier"]),
            normal_key(normal_pro(cells["pro_number"])),
        )

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        return {key for key, is_from_list in self.bills.items() if is_from_list}

    def against(self, cells: Mapping[str, str]) -> str:
        """Return why no form can be made for a row."""
        if self.bills.get(self.key(cells)) is False:
            return (
                f"PRO {cells['pro_number'][:30]} is recorded already. Make its claim on "
                "the page of the freight bill."
            )
        return ""

    def options(self) -> dict[str, Any]:
        """Return what each row's form is made with."""
        if self.location is None:
            raise LookupError("A list of claims is read for one location.")
        return {
            "location": self.location,
            "today": self.today,
            "carriers": by_name(Carrier.objects.exclude(mode="broker")),
        }
