"""Forms that take photos and documents."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid5

from django import forms
from django.core.files.uploadedfile import UploadedFile

from inventory.actions.evidence.uploads import Upload, Uploads, content_hash
from inventory.forms.core.base import HouseForm
from inventory.forms.core.photos import (
    ACCEPT,
    NO_PHOTO,
    BoundPhotos,
    PhotosField,
    photo_field,
)
from inventory.forms.core.text_fields import LineField
from inventory.rules.core import vocabulary as words


class PhotoField(forms.FileField):
    """A file input for one file. ``camera`` opens the phone's rear camera at once."""

    def __init__(self, *, camera: bool = False, **options: Any) -> None:
        attributes = {"accept": ACCEPT}
        if camera:
            attributes["capture"] = "environment"
        widget = forms.ClearableFileInput(attrs=attributes)
        options.setdefault("required", False)
        options.setdefault("max_length", 255)
        super().__init__(widget=widget, allow_empty_file=True, **options)
        self.error_messages["required"] = NO_PHOTO

    def bound_data(self, data: Any, initial: Any) -> Any:
        """Return what was sent: a file input has no earlier value."""
        return data


class EvidenceForm(HouseForm):
    """Save photos or a document with their kind and caption.

    A repeated upload is saved once: by the form's own id and the file's bytes, or by
    ``client_id``, which a program may send.
    """

    has_files = True

    client_id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    kind = forms.ChoiceField(
        label="Kind of photo or document", choices=tuple(words.EVIDENCE_KINDS.items())
    )
    caption = LineField(label="Caption", most=200, attrs={"maxlength": "200"})
    photos = PhotosField(
        label="Photos or a PDF",
        required=True,
        help_text="Each is saved at once, with the kind and caption above. JPEG, PNG, "
        "WebP, HEIC or PDF, up to 25 MB.",
    )
    sha256 = forms.RegexField(
        regex=r"\A[0-9a-fA-F]{64}(,[0-9a-fA-F]{64})*\Z",
        required=False,
        widget=forms.HiddenInput,
        error_messages={
            "invalid": "The SHA-256 that came with the files cannot be read. Nothing was "
            "saved. Send them again."
        },
    )

    def rows(self) -> list[str]:
        """Return the fields in order; what only programs send is not shown."""
        return ["kind", "caption", "photos"]

    def clean(self) -> dict[str, Any]:
        """Return a SHA-256 for each file: the one announced, or empty."""
        cleaned: dict[str, Any] = super().clean() or {}
        count = len(self.shots.uploads)
        named = [part for part in cleaned.get("sha256", "").split(",") if part]
        if named and len(named) != count:
            self.add_error(
                "sha256",
                "Not every file that was announced arrived. Nothing was saved. Send "
                "all of them again.",
            )
        cleaned["sha256"] = named or [""] * count
        return cleaned

    @property
    def shots(self) -> BoundPhotos:
        """Return the field of the photos."""
        return photo_field(self, "photos")

    @property
    def uploads(self) -> list[Upload]:
        """Return the files of a cleaned form, each with its own id and stated hash."""
        files = self.shots.uploads
        ids = self._upload_ids(files)
        hashes: list[str] = self.cleaned_data["sha256"]
        return [Upload(*one) for one in zip(files, ids, hashes, strict=True)]

    def take(self, done: Uploads) -> None:
        """Tick what was saved, and say of each other file why it was not."""
        field = self.shots.field
        self.replace_data("sha256", [""])
        field.required = not done.refused  # a refused file did arrive
        self.shots.take(done)
        self.shots.name_refused(done)
        field.required = True

    def _upload_ids(self, files: list[UploadedFile[bytes]]) -> list[UUID]:
        first: UUID | None = self.cleaned_data.get("client_id")
        if first is None:
            return [uuid5(self.shots.batch, content_hash(file)) for file in files]
        more = (uuid5(first, str(index)) for index in range(1, len(files)))
        return [first, *more][: len(files)]
