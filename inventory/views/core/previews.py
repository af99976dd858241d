"""A page that reads a file and shows what would be saved, before anything is."""

from typing import Any, TypeVar

from django.http import HttpRequest, HttpResponse

from inventory.forms.core.base import HouseForm
from inventory.views.core.act_view import ActView
from inventory.views.core.row_view import Row

Form = TypeVar("Form", bound=HouseForm)


class Preview(ActView[Row, Form]):
    """Reads a form and shows its preview. Nothing is saved."""

    preview_template: str

    def preview(self, form: Form) -> dict[str, Any]:
        """Return the context of the preview; ``form`` is valid."""
        raise NotImplementedError

    def post(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the preview, or the form again with what is wrong."""
        form = self.get_form()
        if not form.is_valid():
            return self.form_invalid(form)
        self.template_name = self.preview_template
        return self.render_to_response(self.preview(form))
