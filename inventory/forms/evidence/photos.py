"""Forms that take photos and documents."""

from __future__ import annotations

import uuid
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Layout, Submit
from django import forms
from django.core.files.uploadedfile import UploadedFile

from inventory.actions.evidence.uploads import Upload, Uploads
from inventory.forms.core.photos import ACCEPT
from inventory.forms.core.text_fields import LineField
from inventory.rules.core import vocabulary as words


class _PhotoInput(forms.ClearableFileInput):
    allow_multiple_selected = True


class PhotoField(forms.FileField):
    """A file input; with ``multiple`` it cleans to a list of files.

    ``camera`` opens the phone's rear camera at once.
    """

    def __init__(
        self, *, multiple: bool = False, camera: bool = False, **options: Any
    ) -> None:
        attributes = {"accept": ACCEPT}
        if camera:
            attributes["capture"] = "environment"
        widget = _PhotoInput(attrs=attributes)
        widget.allow_multiple_selected = multiple
        # Django writes the attribute for any widget whose class takes several.
        widget.attrs["multiple"] = multiple
        self.multiple = multiple
        options.setdefault("required", False)
        options.setdefault("max_length", 255)
        super().__init__(widget=widget, allow_empty_file=True, **options)
        self.error_messages["required"] = (
            "No photo arrived. Nothing was saved. Choose or take the photo again."
        )

    def clean(self, data: Any, initial: Any = None) -> Any:
        """Return one file or None; with ``multiple`` a list."""
        if not self.multiple:
            return super().clean(data, initial)
        files = data if isinstance(data, list | tuple) else [data] if data else []
        if not files and self.required:
            raise forms.ValidationError(self.error_messages["required"])
        return [super(PhotoField, self).clean(one, initial) for one in files]

    def bound_data(self, data: Any, initial: Any) -> Any:
        """Return what was sent: a file input has no earlier value."""
        return data


class EvidenceForm(forms.Form):
    """Save photos or a document with their kind and caption.

    ``client_id`` is the sender's own id, by which a repeated upload is saved once.
    """

    client_id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    kind = forms.ChoiceField(
        label="Kind of photo or document", choices=tuple(words.EVIDENCE_KINDS.items())
    )
    photos = PhotoField(
        label="Photos or a PDF",
        multiple=True,
        required=True,
        help_text="JPEG, PNG, WebP, HEIC or PDF, up to 25 MB each.",
    )
    caption = LineField(label="Caption", most=200)
    sha256 = forms.RegexField(
        regex=r"\A[0-9a-fA-F]{64}(,[0-9a-fA-F]{64})*\Z",
        required=False,
        widget=forms.HiddenInput,
        error_messages={
            "invalid": "The SHA-256 that came with the files cannot be read. Nothing was "
            "saved. Send them again."
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["client_id"].initial = uuid.uuid4
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Field("client_id"),
            Field("kind"),
            Field("photos"),
            Field("caption"),
        )
        self.helper.add_input(Submit("keep", "Save"))

    def clean(self) -> dict[str, Any]:
        """Return a SHA-256 for each file: the one announced, or empty."""
        cleaned: dict[str, Any] = super().clean() or {}
        files = cleaned.get("photos") or []
        named = [part for part in cleaned.get("sha256", "").split(",") if part]
        if named and len(named) != len(files):
            self.add_error(
                "photos",
                "Not every file that was announced arrived. Nothing was saved. Send "
                "all of them again.",
            )
        cleaned["sha256"] = named or [""] * len(files)
        return cleaned

    @property
    def uploads(self) -> list[Upload]:
        """Return the files of a valid form, each with its own id and stated hash."""
        files: list[UploadedFile[bytes]] = self.cleaned_data["photos"]
        ids = _upload_ids(self.cleaned_data["client_id"], len(files))
        hashes: list[str] = self.cleaned_data["sha256"]
        return [Upload(*one) for one in zip(files, ids, hashes, strict=True)]

    def name_refused(self, done: Uploads) -> None:
        """Say of each file that was not saved why.

        Where others were saved, the form takes a new id: they are saved under this one.
        """
        for one in done.refused:
            self.add_error("photos", str(one))
        if done.saved:
            data: Any = self.data.copy()  # type: ignore[attr-defined]
            data[self.add_prefix("client_id")] = str(uuid.uuid4())
            self.data = data


def _upload_ids(first: uuid.UUID | None, count: int) -> list[uuid.UUID]:
    """Return the sender's id for the first file, and one made of it for each other."""
    base = first or uuid.uuid4()
    return [
        base if index == 0 else uuid.uuid5(base, str(index)) for index in range(count)
    ]
