"""Saying what was noticed on the photos of a form."""

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest


def say_remarks(request: HttpRequest, form: BaseForm) -> None:
    """Tell the person at once what was noticed on the photos of this form."""
    for remark in getattr(form, "remarks", []):
        messages.warning(request, remark)
