"""The field for photos and documents: what is chosen now, and what was kept before.

A browser forgets the files that it sent. So the view keeps them first, and the field
carries the rows that were kept from one sending to the next.
"""

from collections.abc import Sequence
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet
from django.utils.datastructures import MultiValueDict
from django.utils.functional import cached_property

from inventory.actions.evidence.holding import HeldPhoto
from inventory.actions.evidence.uploads import Uploads
from inventory.models import Evidence

ACCEPT = "image/jpeg,image/png,image/webp,image/heic,application/pdf"

NO_PHOTO = "No photo arrived. Nothing was saved. Choose or take the photo again."

NO_ROOM = "no-room"
"""The code of an error that only a fuller disk explains."""


class PhotosInput(forms.FileInput):
    """A file input; its value are the ids of the photos that were kept before."""

    allow_multiple_selected = True

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        """Return the kept photos that are ticked; the files are the view's."""
        return data.getlist(f"{name}_kept") if hasattr(data, "getlist") else []

    def value_omitted_from_data(self, data: Any, files: Any, name: str) -> bool:
        """Say no: nothing ticked is an answer too."""
        return False


class BoundPhotos(forms.BoundField):
    """The photos of one form: the files that it brought, the rows that it ticks."""

    field: "PhotosField"

    held: Sequence[HeldPhoto] = ()
    """Photos stored without a row yet; the form carries their tokens."""

    strip: object = None
    """Where the page sends its photos one by one; the view says it."""

    @property
    def held_tokens(self) -> list[str]:
        """Return the tokens that this sending carries."""
        data: Any = self.form.data
        name = f"{self.html_name}_held"
        return data.getlist(name) if hasattr(data, "getlist") else []

    @cached_property
    def batch(self) -> UUID:
        """Return the id under which the files of this form are kept."""
        try:
            return UUID(self.form.data.get(f"{self.html_name}_batch", ""))
        except ValueError:
            return uuid4()

    @property
    def uploads(self) -> "list[UploadedFile[bytes]]":
        """Return the files that came with this sending."""
        files: Any = self.form.files
        return list(files.getlist(self.html_name)) if files else []

    @property
    def ticked(self) -> list[Evidence]:
        """Return the photos kept before that this form is sent with."""
        return self.field.rows_of(self.value() or [])

    @property
    def offered(self) -> list[Evidence]:
        """Return photos kept before that may be ticked too."""
        if not self.field.offers_earlier:
            return []
        shown = {row.pk for row in self.ticked}
        return [row for row in self.field.rows if row.pk not in shown]

    def take(self, done: Uploads) -> None:
        """Tick what was kept of the files; they are not sent again with the form."""
        form: Any = self.form
        ticked = [*self.data, *(str(row.pk) for row in done.kept)]
        form.replace_data(f"{self.html_name}_kept", list(dict.fromkeys(ticked)))
        self.drop_uploads()

    def drop_uploads(self) -> None:
        """Leave the files of this sending out of the form: they are stored."""
        form: Any = self.form
        files = MultiValueDict(dict(form.files.lists()) if form.files else {})
        files.pop(self.html_name, None)
        form.files = files

    def name_refused(self, done: Uploads) -> None:
        """Say of each file that was not kept why, once all fields took theirs."""
        for one in done.refused:
            code = NO_ROOM if one.status == 507 else "refused"
            self.form.add_error(self.name, ValidationError(str(one), code=code))


class PhotosField(forms.Field):
    """Photos or documents; cleans to the list of their evidence rows.

    ``camera`` opens the phone's rear camera at once. The view says in ``rows`` which
    photos may be ticked; ``offers_earlier`` lists them all, for the form to choose
    from, else only those that were sent with it are shown.
    """

    rows: QuerySet[Evidence] = Evidence.objects.none()

    def __init__(
        self,
        *,
        multiple: bool = True,
        camera: bool = False,
        offers_earlier: bool = False,
        **options: Any,
    ) -> None:
        attributes: dict[str, Any] = {"accept": ACCEPT, "multiple": multiple}
        if camera:
            attributes["capture"] = "environment"
        options.setdefault("required", False)
        self.offers_earlier = offers_earlier
        super().__init__(widget=PhotosInput(attrs=attributes), **options)
        self.error_messages["required"] = NO_PHOTO

    def get_bound_field(self, form: Any, field_name: str) -> BoundPhotos:
        """Return the field with the form's own files and ticks."""
        return BoundPhotos(form, self, field_name)

    def rows_of(self, ids: list[str]) -> list[Evidence]:
        """Return those rows of these ids that may be ticked."""
        known = [key for key in ids if _is_uuid(key)]
        return list(self.rows.filter(pk__in=known)) if known else []

    def clean(self, value: Any) -> list[Evidence]:
        """Return the rows that are ticked; a row that was not shown is a mistake."""
        found = self.rows_of(value)
        if len(found) < len(set(value)):
            raise ValidationError("Choose photos from those shown.", code="unknown")
        if self.required and not found:
            raise ValidationError(self.error_messages["required"], code="required")
        return found


def photos_of(form: forms.BaseForm) -> list[BoundPhotos]:
    """Return the fields of this form that take photos."""
    return [bound for bound in form if isinstance(bound, BoundPhotos)]


def photo_field(form: forms.BaseForm, name: str) -> BoundPhotos:
    """Return this field of the form, which takes photos."""
    bound = form[name]
    if not isinstance(bound, BoundPhotos):
        raise TypeError(f"{name} takes no photos.")
    return bound


def _is_uuid(text: str) -> bool:
    try:
        UUID(text)
    except ValueError:
        return False
    return True
