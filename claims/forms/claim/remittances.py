"""Forms for one remittance that covers several claims."""

from collections.abc import Iterable, Sequence
from typing import Any

from crispy_forms.layout import Row
from crispy_forms.utils import TEMPLATE_PACK
from django import forms
from django.core.exceptions import ValidationError
from django.template.context import Context
from django.template.loader import render_to_string

from claims.actions.claim.remittances import Against
from claims.forms.claim.payments import PaymentForm
from claims.forms.claim.steps import NoteField, ReasonField
from claims.queries.books.open_to_pay import OpenToPay
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.number_fields import MoneyField

_PART, _SEEN = "part_", "seen_"

_GONE = (
    "A claim that you put an amount against is no longer open. Nothing was saved. Check "
    "the amounts: they are listed again below."
)


class PartsForm(HouseForm):
    """A form with an amount beside each open claim, and the version of it shown."""

    claims: Sequence[OpenToPay] = ()

    def take_claims(self, claims: Sequence[OpenToPay], currency: str) -> None:
        """Ask for an amount against each of these claims."""
        self.claims = claims
        for one in claims:
            key, label = one.claim.pk, f"Amount against claim {one.claim.number}"
            part = MoneyField(label=label, required=False, least=1, currency=currency)
            self.fields[f"{_PART}{key}"] = part
            self.fields[f"{_SEEN}{key}"] = forms.IntegerField(
                initial=one.claim.version, required=False, widget=forms.HiddenInput
            )

    def parts(self) -> list[Against]:
        """Return what is put against each claim."""
        data = self.cleaned_data
        return [
            Against(one.claim, cents, data[f"{_SEEN}{one.claim.pk}"] or 0)
            for one in self.claims
            if (cents := data[f"{_PART}{one.claim.pk}"])
        ]

    def take_versions(self) -> None:
        """Let a second save count against the claims as they are now."""
        for one in self.claims:
            one.claim.refresh_from_db(fields=["version"])
            self.replace_data(f"{_SEEN}{one.claim.pk}", [str(one.claim.version)])

    def clean(self) -> dict[str, Any]:
        """Refuse an amount against a claim that is not open any more."""
        cleaned: dict[str, Any] = super().clean() or {}
        typed = {name for name, text in self.data.items() if text and str(text).strip()}
        if any(name.startswith(_PART) and name not in self.fields for name in typed):
            raise ValidationError(_GONE)
        return cleaned

    @property
    def lines(self) -> "list[tuple[OpenToPay, forms.BoundField, forms.BoundField]]":
        """Return each claim with its two fields."""
        return [
            (one, self[f"{_PART}{one.claim.pk}"], self[f"{_SEEN}{one.claim.pk}"])
            for one in self.claims
        ]


class PartsLayout:
    """The place of the claims in a layout; its markup is in the template."""

    template = "claims/claim/_parts.html"

    def render(
        self,
        form: PartsForm,
        context: Context,
        template_pack: str = TEMPLATE_PACK,
        **_more: Any,
    ) -> str:
        """Return the table of the claims as HTML."""
        around: dict[Any, Any] = context.flatten()
        return render_to_string(self.template, {**around, "lines": form.lines})


class RemittanceForm(PartsForm, PaymentForm):
    """Record one check or transfer, and put it against claims."""

    act = "Record the remittance"
    version = None  # type: ignore[assignment]  # each claim has its own
    note = NoteField(
        label="Explanation",
        help_text="Needed where the parts come to less than the amount. What is left is "
        "then kept as owed to the payer.",
    )

    def __init__(
        self, *args: Any, claims: Sequence[OpenToPay], currency: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, currency=currency, **kwargs)
        self.take_claims(claims, currency)

    def rows(self) -> Iterable[Any]:
        """Return what the check says, then the claims, then the explanation."""
        return [
            Row("on", "amount"),
            Row("method", "reference"),
            "bills",
            "in_full",
            PartsLayout(),
            "note",
            "documents",
        ]


class MatchRestForm(PartsForm, StaleForm):
    """Put what is left of a remittance against claims."""

    act = "Put it against these claims"
    creates = True
    note = NoteField()

    def __init__(
        self, *args: Any, claims: Sequence[OpenToPay], currency: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.take_claims(claims, currency)

    def rows(self) -> Iterable[Any]:
        """Return the claims, then the note."""
        return ["version", PartsLayout(), "note"]


class ReverseRemittanceForm(StaleForm):
    """Take a whole remittance back."""

    creates = True
    act = "Reverse the remittance"
    reason = ReasonField(
        help_text="Every part is taken back from its claim. All stays on the page."
    )
