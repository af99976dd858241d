"""Pieces of a form's layout beyond those of crispy-forms."""

from crispy_forms.layout import Fieldset


class Folded(Fieldset):  # type: ignore[misc]
    """Fields that are seldom needed, behind a line to open: ``Folded(words, *fields)``.

    They are open where the form comes back, so that no error is hidden.
    """

    template = "dock/layout/folded.html"
