"""Forms for a mail in the outbox, each with its reason."""

from inventory.forms.core.base import HouseForm
from inventory.forms.core.text_fields import TextField


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
