"""Pieces of a form's layout beyond those of crispy-forms."""

from typing import Any

from crispy_forms.layout import Fieldset
from django.forms import BaseForm


class Folded(Fieldset):  # type: ignore[misc]
    """Fields that are seldom needed, behind a line to open: ``Folded(words, *fields)``.

    Where the form comes back they are open if one has an error or was filled in, so
    that neither is hidden, and a miss elsewhere does not unfold the whole page.
    """

    template = "dock/layout/folded.html"

    def render(
        self,
        form: BaseForm,
        context: Any,
        template_pack: str = "dock",
        **kwargs: Any,
    ) -> str:
        """Render the fields, and say whether they stand open."""
        names = {pointer.name for pointer in self.get_field_names()}
        told = {*form.errors, *form.changed_data} if form.is_bound else set()
        with context.push(is_open=bool(names & told)):
            return str(super().render(form, context, template_pack, **kwargs))
