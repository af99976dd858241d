"""Forms for the claim file: the facts that it states, and its confirmation."""

from collections.abc import Iterable, Sequence
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms

from claims.actions.packet.file_facts import FileFacts
from claims.rules.packet.lighter import LEAST_MB, MOST_MB
from claims.rules.packet.neutral_lines import PAPERS, line_choices
from claims.rules.packet.originals import ORIGINALS
from claims.rules.packet.wording import EXTENTS
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.layout import Folded
from inventory.forms.core.text_fields import LineField, TextField
from inventory.models import Unit
from inventory.rules.core.vocabulary import UNIT_CONDITIONS


class ConfirmForm(StaleForm):
    """Confirm the claim file that was previewed: its events and its digest.

    Whoever confirms it chooses whether the originals go along.
    """

    creates = True
    act = "Confirm and make the claim file"
    size = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    digest = forms.RegexField(r"\A[0-9a-f]{64}\Z", widget=forms.HiddenInput)
    originals = PickField(
        label="The original photos and documents",
        words=ORIGINALS,
        as_rows=True,
        missing="Choose whether the originals go along.",
    )

    def take_seen(self, size: int, digest: str) -> None:
        """Let a second confirmation be of the claim file as it is offered now."""
        data: Any = self.data.copy()  # type: ignore[attr-defined]
        data[self.add_prefix("size")] = str(size)
        data[self.add_prefix("digest")] = digest
        self.data = data


class LimitForm(forms.Form):
    """The size limit of a portal, in MB."""

    mb = forms.IntegerField(
        label="Another limit, in MB", min_value=LEAST_MB, max_value=MOST_MB
    )


class ConfirmLighterForm(HouseForm):
    """Confirm the lighter edition that was previewed: its limit and its digest."""

    creates = True
    act = "Confirm and make the lighter edition"
    mb = forms.IntegerField(
        widget=forms.HiddenInput, min_value=LEAST_MB, max_value=MOST_MB
    )
    digest = forms.RegexField(r"\A[0-9a-f]{64}\Z", widget=forms.HiddenInput)


class FileFactsForm(StaleForm):
    """State what a claim file says and no other page asks for."""

    act = "Save the facts"

    extent = PickField(label="Full or partial loss", words=EXTENTS, empty="Not chosen")
    freight_class = LineField(label="Class as billed", most=8)
    inspect_at = TextField(
        label="Where and when it can be inspected",
        most=400,
        help_text="Address, days, hours and phone.",
    )
    salvage_held = TextField(
        label="Who holds the salvage",
        most=400,
        help_text="Say if anything was sold, to whom and for how much.",
    )
    repair_done = TextField(
        label="Repair", most=400, help_text="Not begun, begun or done, and when."
    )
    is_only_claim = forms.BooleanField(
        label="No other claim was filed for this loss, with this or any other carrier",
        required=False,
    )
    pay_to = TextField(label="Payee and address for the payment", most=400)
    signer_name = LineField(label="Signed by", most=80)
    signer_title = LineField(label="Title", most=80)
    signer_phone = LineField(label="Phone", most=40)
    stood_unopened = forms.BooleanField(
        label="The crate was not opened between delivery and the opening on record",
        required=False,
    )
    stood_at = TextField(label="Where it was in between", most=400)
    stood_moves = TextField(label="Who moved it, and with what", most=600)

    def __init__(self, *args: Any, units: Sequence[Unit], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for unit in units:
            self.fields[f"condition_{unit.pk}"] = PickField(
                label=str(unit), words=UNIT_CONDITIONS, empty="Not chosen"
            )
        for paper, label in PAPERS.items():
            self.fields[f"line_{paper}"] = PickField(
                label=label, words=line_choices(paper), empty="No line"
            )

    def rows(self) -> Iterable[Any]:
        """Return the fields in groups, as the claim file has them."""
        conditions = [name for name in self.fields if name.startswith("condition_")]
        lines = [name for name in self.fields if name.startswith("line_")]
        return [
            "version",
            Fieldset("The loss", "extent", "freight_class", "is_only_claim"),
            *([Fieldset("New or used", *conditions)] if conditions else []),
            Fieldset(
                "Inspection, salvage, repair",
                "inspect_at",
                "salvage_held",
                "repair_done",
            ),
            Fieldset("Payment", "pay_to"),
            Fieldset("Signature", "signer_name", Row("signer_title", "signer_phone")),
            Folded(
                "The crate stood before it was opened, or notice was late",
                *("stood_unopened", "stood_at", "stood_moves"),
            ),
            Folded("Say why a document is a copy, or is not enclosed", *lines),
        ]

    def facts(self) -> FileFacts:
        """Return what was entered."""
        data = self.cleaned_data
        named = {name: data[name] for name in FileFacts.TEXTS}
        return FileFacts(
            **named,
            is_only_claim=data["is_only_claim"],
            stood_unopened=data["stood_unopened"],
            neutral_lines={
                paper: data[f"line_{paper}"]
                for paper in PAPERS
                if data[f"line_{paper}"]
            },
            freight_class=data["freight_class"],
            conditions={
                int(name.removeprefix("condition_")): value
                for name, value in data.items()
                if name.startswith("condition_")
            },
        )


class CounselForm(StaleForm):
    """Record which counsel asked for the opposing arguments, and when."""

    act = "Record the request"
    name = LineField(
        label="Counsel", most=120, missing="Enter who asked: name and firm."
    )
    on = DayField(label="Date of the request", missing="Enter a date.")

    def __init__(self, *args: Any, today: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].latest = today  # type: ignore[attr-defined]
