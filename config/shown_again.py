"""A form with mistakes on the pages of signing in: shown again, with its status."""

import math
from typing import Any

from django import forms
from django.http import HttpResponse

from config.tries import WAITS


class ShownAgain:
    """Put before Django's view: its form answers 422, or 429 where it must wait."""

    def form_invalid(self, form: Any) -> HttpResponse:  # noqa: ANN401 - Django's
        """Show the form again."""
        return refused(super().form_invalid(form), form)  # type: ignore[misc]


def refused(answer: HttpResponse, form: forms.Form) -> HttpResponse:
    """Return a form with mistakes as 422, or as 429 where it must wait."""
    waits = [one for one in form.non_field_errors().as_data() if one.code == WAITS]
    seconds = [(one.params or {})["seconds"] for one in waits]
    answer.status_code = 429 if seconds else 422
    if seconds:
        answer["Retry-After"] = str(math.ceil(seconds[0]))
    return answer
