"""Forms for a mail: whom it goes to, and what became of it, with the reason."""

from django import forms

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.text_fields import TextField


class AddressField(forms.EmailField):
    """One address that a mail goes to."""

    def __init__(self, *, label: str = "To", missing: str = "") -> None:
        super().__init__(
            label=label,
            max_length=254,
            error_messages={
                "required": missing or "Enter the address it goes to.",
                "invalid": "Enter one address, such as claims@carrier.example.",
            },
        )


class MailItForm(StaleForm):
    """Confirm that a document is mailed from here."""

    act = "Send it"

    to = AddressField()


class CallOffForm(HouseForm):
    """Take a mail out of the outbox."""

    act = "Do not send it"

    reason = TextField(
        label="Reason",
        most=1000,
        missing="Enter the reason. It is saved with the mail.",
        help_text="Such as: sent by certified mail instead; wrong address.",
    )


class CameBackForm(HouseForm):
    """Record that a mail came back."""

    act = "It came back"

    reason = TextField(
        label="What the returned mail says",
        most=1000,
        missing="Enter what the returned mail says.",
        help_text="Such as: mailbox unknown; mailbox full.",
    )
