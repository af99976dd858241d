"""Forms of a claim about crates lost or damaged on the way home."""

from collections.abc import Iterable, Sequence
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError

from claims.rules.claim.way_home import RISKS
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.number_fields import MoneyField, read_money_in
from inventory.forms.core.text_fields import LineField
from inventory.models import Carrier
from inventory.rules.core.vocabulary import REGIMES

BEARS_IT = (
    "By these terms the supplier bears the loss, so its credit is due all the same. Nothing "
    "was saved. Reverse the loss on the return, and dispute the credit with the supplier."
)


class ClaimReturnForm(HouseForm):
    """Choose crates of a return and say what its papers say; the bill is asked once.

    ``offered`` are key, words, hint and whether each is ticked at first.
    """

    creates = True
    act = "Make the claim"

    pro_number = LineField(label="Carrier's PRO number", most=30, required=False)
    risk = PickField(
        label="Who bears the loss on the way home, by the supplier's terms?",
        words=RISKS,
        missing="Choose one.",
        as_rows=True,
    )
    released = MoneyField(
        label="Released value a pound",
        help_text="Only where the bill of lading states one: the most the carrier owes.",
    )
    regime = PickField(
        label="Law that applies",
        words={key: words for key, words in REGIMES.items() if key != "private"},
        missing="Choose one.",
    )
    record_carrier = RowField(
        label="Motor carrier that took it",
        empty_label="Not known yet. Ask the broker.",
        required=False,
    )

    def __init__(
        self,
        *args: Any,
        offered: Sequence[tuple[int, str, str, bool]],
        currency: str,
        has_bill: bool,
        is_broker: bool,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.keys = [key for key, *_ in offered]
        for key, words, hint, is_ticked in offered:
            self.fields[f"take_{key}"] = forms.BooleanField(
                label=words, required=False, initial=is_ticked, help_text=hint
            )
        carriers: Any = self.fields["record_carrier"]
        carriers.queryset = Carrier.objects.exclude(mode="broker").order_by("name")
        gone = ["pro_number", "risk", "released", "regime"] if has_bill else []
        for name in [
            *gone,
            *([] if is_broker and not has_bill else ["record_carrier"]),
        ]:
            del self.fields[name]
        read_money_in(self, currency)

    def rows(self) -> Iterable[Any]:
        """Return the crates first, then the bill."""
        yield Fieldset("Crates", *(f"take_{key}" for key in self.keys))
        if "risk" in self.fields:
            yield "risk"
            if "record_carrier" in self.fields:
                yield "record_carrier"
            yield Row("pro_number", "released")
            yield "regime"

    def clean_risk(self) -> str:
        """Refuse a claim for a loss that the supplier bears."""
        risk = str(self.cleaned_data["risk"])
        if risk == "origin":
            raise ValidationError(BEARS_IT)
        return risk

    def clean(self) -> dict[str, Any]:
        """Ask for at least one crate."""
        cleaned: dict[str, Any] = super().clean() or {}
        if not any(cleaned.get(f"take_{key}") for key in self.keys):
            raise ValidationError("Choose at least one crate. Nothing was saved.")
        return cleaned

    def picked(self) -> list[int]:
        """Return the keys of the crates that were chosen."""
        return [key for key in self.keys if self.cleaned_data.get(f"take_{key}")]


class TakeOffCreditsForm(StaleForm):
    """Take what the supplier credited after all off the claim."""

    act = "Take it off the claim"
