"""What a form asks before a letter about a claim is written."""

from typing import Any

from claims.rules.letters.claim_letter import LetterFacts, NoChoices
from inventory.forms.core.base import HouseForm


class ChoicesForm(HouseForm):
    """Asks what the record does not say. This one asks nothing.

    ``facts`` are what the letter may say; a form offers only what they hold.
    """

    act = "Preview the letter"

    def __init__(self, *args: Any, facts: LetterFacts, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.facts = facts

    def choices(self) -> object:
        """Return the choices of the kind of letter; the form is valid."""
        return NoChoices()
