"""Forms of a crate's life: its type, its check, scrapping and disposal."""

from collections.abc import Iterable, Sequence
from typing import Any

from crispy_forms.layout import Field, Fieldset, Row

from inventory.actions.crates.checks import PartChecked
from inventory.forms.core.base import StaleForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import TextField
from inventory.models import CratePart, CrateType, Supplier
from inventory.rules.crates.words import DISPOSALS


class CrateTypeOfForm(StaleForm):
    """Set which of its supplier's crate types this crate is."""

    act = "Save the type"

    crate_type = RowField(
        label="Crate type", missing="Choose one of the supplier's types."
    )

    def __init__(self, *args: Any, supplier: Supplier | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = CrateType.objects.filter(supplier=supplier)
        self.fields["crate_type"].queryset = rows.order_by("name", "pk")  # type: ignore[attr-defined]


class CheckCrateForm(StaleForm):
    """Count what is missing and damaged, part by part. ``parts`` is the list."""

    act = "Record the check"

    note = TextField(label="Note", most=300, rows=2)
    photos = PhotosField(label="Photos of the damage, and of the stacked parts")

    def __init__(self, *args: Any, parts: Sequence[CratePart], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.parts = parts
        for part in parts:
            for end in ("missing", "damaged"):
                self.fields[f"{end}_{part.pk}"] = CountField(
                    label=end.capitalize(), most=part.count, has_stepper=True, initial=0
                )

    def rows(self) -> Iterable[Any]:
        """Return one line for each part, then the note and the photos."""
        parts = [
            Fieldset(
                f"{part.name.capitalize()}: {part.count} required",
                Row(f"missing_{part.pk}", f"damaged_{part.pk}"),
            )
            for part in self.parts
        ]
        return [
            "version",
            *parts,
            "note",
            Field("photos", data_previews="pictures"),
        ]

    def clean(self) -> dict[str, Any]:
        """Refuse more missing and damaged parts than are required."""
        cleaned: dict[str, Any] = super().clean() or {}
        for part in self.parts:
            missing = cleaned.get(f"missing_{part.pk}") or 0
            damaged = cleaned.get(f"damaged_{part.pk}") or 0
            if missing + damaged > part.count:
                self.add_error(
                    f"damaged_{part.pk}",
                    f"{missing} missing and {damaged} damaged are more than the "
                    f"{part.count} required.",
                )
        return cleaned

    def found(self) -> list[PartChecked]:
        """Return what was counted, part by part."""
        return [
            PartChecked(
                part=part.pk,
                missing=self.cleaned_data.get(f"missing_{part.pk}") or 0,
                damaged=self.cleaned_data.get(f"damaged_{part.pk}") or 0,
            )
            for part in self.parts
        ]


class ScrapCrateForm(StaleForm):
    """Scrap a reusable crate."""

    act = "Scrap the crate"

    reason = TextField(label="Reason", most=300, missing="Enter why it is scrapped.")


class DisposeCrateForm(StaleForm):
    """Record what became of a one-way crate."""

    act = "Record it"

    how = PickField(
        label="What became of it",
        words=DISPOSALS,
        missing="Choose what became of it.",
        as_rows=True,
    )
