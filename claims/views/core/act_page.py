"""One act on one page: what was done is said, and the way leads back."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from inventory.forms.core.base import HouseForm
from inventory.views.core import one_act
from inventory.views.core.one_act import ActPage, posted

__all__ = ["ActPage", "answer_act", "posted"]


def answer_act(
    request: HttpRequest, form: HouseForm, page: ActPage, act: Callable[[], str]
) -> HttpResponse:
    """Show the form, or run the act on a valid one and go back.

    ``act`` returns the sentence that says what was done. What it refuses is put on
    the form, with all that was typed, as 422.
    """

    def done() -> HttpResponse:
        messages.success(request, act())
        return redirect(page.back)

    return one_act.answer_act(request, form, page, done)
