"""A crate's mark and codes, typed or scanned in any form."""

from typing import Any

from crispy_forms.layout import Field, Row
from django.core.exceptions import ValidationError

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.text_fields import LineField
from inventory.rules.codes.gs1 import GIAI, GRAI, SSCC
from inventory.rules.codes.identifiers import MOST_TEXT, Identifier, parse, parse_as
from inventory.rules.codes.own_marks import mark_problem

_SCAN = {"autocapitalize": "off", "autocorrect": "off", "spellcheck": "false"}


class _KeyField(LineField):
    """A GS1 key in any form: with or without brackets, or as a Digital Link."""

    def __init__(self, *, label: str, ai: str, kind: str, **kwargs: Any) -> None:
        self.ai, self.kind = ai, kind
        super().__init__(
            label=label,
            most=MOST_TEXT,
            attrs={**_SCAN, "class": "ident"},
            scans=True,
            **kwargs,
        )

    def clean(self, value: Any) -> str:
        """Return the key without its AI; refuse what is not a key, with the reason."""
        text = super().clean(value)
        if not text:
            return ""
        found = parse_as(text, self.ai)
        self.refuse(found)
        return found.value

    def refuse(self, found: Identifier) -> None:
        """Raise ValidationError unless this is a valid key of this kind."""
        if not found.valid:
            raise ValidationError(found.problem)
        if found.kind != self.kind:
            raise ValidationError(
                f"This is {_named(found.kind)}, not {_named(self.kind)}. Enter it in its "
                "own field."
            )
        if found.kind == "grai" and not found.serial:
            raise ValidationError(
                "This GRAI has no serial: it names the type of crate, not this crate."
            )


class CrateIdentityForm(StaleForm):
    """Set a crate's mark, its GS1 keys and its supplier's code."""

    act = "Save the mark and codes"
    creates = True

    mark = LineField(
        label="Mark on the crate",
        most=60,
        is_identifier=True,
        scans=True,
        help_text="The number painted or labeled on it, such as RK-0042.",
    )
    grai = _KeyField(
        label="GRAI",
        ai=GRAI,
        kind="grai",
        help_text="Scan or type it: (8003), 14 digits, then the crate's serial.",
    )
    sscc = _KeyField(
        label="SSCC of this shipment",
        ai=SSCC,
        kind="sscc",
        help_text="The 18 digits after (00) on the shipping label.",
    )
    supplier_code = LineField(
        label="Supplier's code",
        most=40,
        attrs={**_SCAN, "class": "ident"},
        help_text="The supplier's own number for it. A GIAI (8004) goes here too.",
    )

    def rows(self) -> list[Any]:
        """Return the mark first, then the keys that a scanner reads."""
        return [
            Field("version"),
            Row("mark", "supplier_code"),
            Field("grai"),
            Field("sscc"),
        ]

    def clean_mark(self) -> str:
        """Refuse a mark that could not be found again."""
        mark: str = self.cleaned_data["mark"]
        if not mark:
            return ""
        found = parse(mark)
        if not found.valid:
            raise ValidationError(found.problem)
        if found.kind != "own":
            raise ValidationError(
                f"This is {_named(found.kind)}. Enter it in its own field below; a GIAI "
                "is the supplier's code."
            )
        return mark

    def clean_supplier_code(self) -> str:
        """Return the code as typed; a GIAI in brackets, whichever way it was typed."""
        code: str = self.cleaned_data["supplier_code"]
        if not code:
            return ""
        found = parse(code)
        if found.kind == "giai" or code.startswith(f"({GIAI})"):
            if not found.valid:
                raise ValidationError(found.problem)
            return found.element_string
        if problem := mark_problem(code):
            raise ValidationError(problem)
        return code


class GiveMarksForm(HouseForm):
    """Give marks of our own to all crates of a bill that have none."""

    act = "Assign the marks"
    creates = True


def _named(kind: str) -> str:
    """Return a kind of key with its article."""
    if kind == "own":
        return "a mark"
    return f"an {kind.upper()}" if kind == "sscc" else f"a {kind.upper()}"
