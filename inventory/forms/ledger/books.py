"""Forms for the books: lock a period, number the accounts."""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.db.models import QuerySet

from inventory.actions.ledger.periods import Numbered
from inventory.forms.core.asking import SpanForm
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.text_fields import LineField
from inventory.models import AccountNumber, Location
from inventory.rules.crates.words import ACCOUNT_CLASSES, ACCOUNTS


class LockForm(HouseForm):
    """Lock the books through a day."""

    act = "Lock the books"
    creates = True

    location = RowField(label="Location", required=True)
    through = DayField(
        label="Through",
        required=True,
        too_late="Only past days can be locked. Enter a day up to {latest}.",
    )

    def __init__(
        self, *args: Any, places: QuerySet[Location], yesterday: dt.date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["location"].queryset = places
        fields["through"].latest = yesterday
        if len(places) == 1:
            self.initial.setdefault("location", places[0].pk)


class JournalForm(SpanForm):
    """The days of a journal: any span, for it is read a page at a time."""

    most_days = None


class AccountForm(SpanForm):
    """One kind of account in one currency, from one day to another."""

    kind = PickField(label="Account", words={})
    currency = PickField(label="Currency", words={})

    def __init__(
        self,
        *args: Any,
        places: Sequence[Location],
        currencies: Sequence[str],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, places=places, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["kind"].choices = list(ACCOUNTS.items())
        fields["currency"].choices = [(code, code) for code in currencies]


class AccountNumbersForm(HouseForm):
    """The number and name of each kind of account in the company's own books."""

    act = "Save the numbers"
    creates = True

    def __init__(
        self, *args: Any, kept: Mapping[str, AccountNumber], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.kept = kept
        for kind, label in ACCOUNTS.items():
            row = kept.get(kind)
            self.fields[f"number_{kind}"] = LineField(
                label="Account number",
                most=20,
                is_identifier=True,
            )
            self.fields[f"name_{kind}"] = LineField(label="Account name", most=60)
            self.fields[f"version_{kind}"] = forms.CharField(
                widget=forms.HiddenInput, required=False
            )
            self.initial[f"number_{kind}"] = row.number if row else ""
            self.initial[f"name_{kind}"] = row.name if row else label
            self.initial[f"version_{kind}"] = str(row.version) if row else ""

    def rows(self) -> Sequence[Any]:
        """Return one group per account."""
        return [
            Fieldset(
                f"{label} · {ACCOUNT_CLASSES[kind].lower()}",
                f"version_{kind}",
                Row(f"number_{kind}", f"name_{kind}"),
            )
            for kind, label in ACCOUNTS.items()
        ]

    def clean(self) -> dict[str, Any]:
        """Refuse to remove a number, and the same number twice."""
        cleaned: dict[str, Any] = super().clean() or {}
        seen: set[str] = set()
        for kind in ACCOUNTS:
            number = str(cleaned.get(f"number_{kind}") or "")
            if not number and kind in self.kept:
                self.add_error(
                    f"number_{kind}",
                    "You can change a number, but not remove it.",
                )
            if number and number in seen:
                self.add_error(
                    f"number_{kind}", "Another account has this number. Enter its own."
                )
            seen.add(number)
        return cleaned

    def numbered(self) -> Iterable[Numbered]:
        """Yield the accounts that have a number, with the version that was shown."""
        for kind in ACCOUNTS:
            number = self.cleaned_data[f"number_{kind}"]
            if not number:
                continue
            seen = str(self.cleaned_data[f"version_{kind}"])
            is_version = seen.isascii() and seen.isdigit() and len(seen) <= 9
            yield Numbered(
                kind=kind,
                number=number,
                name=self.cleaned_data[f"name_{kind}"],
                version=int(seen) if is_version else None,
            )
