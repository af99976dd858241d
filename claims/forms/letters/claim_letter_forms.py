"""The form of each kind of letter about a claim; most kinds ask nothing."""

from claims.forms.letters.choices import ChoicesForm
from claims.forms.letters.waiting import FORMS_OF_WAITING

FORMS: dict[str, type[ChoicesForm]] = {**FORMS_OF_WAITING}


def form_for(kind: str) -> type[ChoicesForm]:
    """Return the form of this kind of letter."""
    return FORMS.get(kind, ChoicesForm)
