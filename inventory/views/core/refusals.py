"""How a form that was not taken is answered: 422, or 507 where the disk refused."""

from django import forms
from django.core.exceptions import ValidationError

from inventory.actions.evidence.keeping import BadUploadError
from inventory.forms.core.photos import NO_ROOM


def put_refusal(
    form: forms.BaseForm, field: str | None, error: BadUploadError, words: str = ""
) -> None:
    """Put a refused upload on the form, in its own words unless others are given."""
    code = NO_ROOM if error.status == 507 else "refused"
    form.add_error(field, ValidationError(words or str(error), code=code))


def status_of(form: forms.BaseForm) -> int:
    """Return 507 where the disk took no photo, 422 for other errors, else 200."""
    if not form.errors:
        return 200
    found = (
        error.code for errors in form.errors.as_data().values() for error in errors
    )
    return 507 if NO_ROOM in found else 422
