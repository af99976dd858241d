"""Forms that take photos and documents."""

from __future__ import annotations

import uuid
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Layout, Submit
from django import forms
from django.core.files.uploadedfile import UploadedFile

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
        """Keep what was sent: a file input has no remembered value."""
        return data


class PhotoFormMixin(forms.Form):
    """Adds the number that lets an upload be repeated without doubling it.

    ``remarks`` gathers what there is to say about the photos once they are kept.
    """

    client_id = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["client_id"].initial = uuid.uuid4
        self.remarks: list[str] = []

    def upload_ids(self, count: int) -> list[uuid.UUID]:
        """Return one repeatable number for each file of this form."""
        base = self.cleaned_data.get("client_id") or uuid.uuid4()
        return [
            base if index == 0 else uuid.uuid5(base, str(index))
            for index in range(count)
        ]

    def take_new_number(self) -> None:
        """Let what is chosen next be an upload of its own: this one kept something."""
        data: Any = self.data.copy()  # type: ignore[attr-defined]
        data[self.add_prefix("client_id")] = str(uuid.uuid4())
        self.data = data


class EvidenceForm(PhotoFormMixin):
    """Keep photos or a document with what they show."""

    kind = forms.ChoiceField(
        label="What it shows", choices=tuple(words.EVIDENCE_KINDS.items())
    )
    photos = PhotoField(
        label="Photos or a PDF",
        multiple=True,
        required=True,
        help_text="JPEG, PNG, WebP, HEIC or PDF, up to 25 MB each.",
    )
    caption = LineField(label="A few words", most=200)
    sha256 = forms.RegexField(
        regex=r"\A[0-9a-fA-F]{64}(,[0-9a-fA-F]{64})*\Z",
        required=False,
        widget=forms.HiddenInput,
        error_messages={
            "invalid": "The hash that came with the files cannot be read. Nothing was "
            "saved. Send them again."
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Field("client_id"),
            Field("kind"),
            Field("photos"),
            Field("caption"),
            Submit("keep", "Keep the photos"),
        )

    def clean_photos(self) -> list[UploadedFile[bytes]]:
        """Refuse more files than one person can check at once."""
        files: list[UploadedFile[bytes]] = self.cleaned_data["photos"]
        if len(files) > 20:
            raise forms.ValidationError(
                "Send at most 20 files at a time. Nothing was saved."
            )
        return files

    def clean(self) -> dict[str, Any]:
        """Return a hash for each file: what the sender says it sent, or empty."""
        cleaned: dict[str, Any] = super().clean() or {}
        files = cleaned.get("photos") or []
        named = [part for part in cleaned.get("sha256", "").split(",") if part]
        if named and len(named) != len(files):
            self.add_error(
                "photos",
                "Not every file that was announced arrived. Nothing was saved. Send "
                "them again.",
            )
        cleaned["sha256"] = named or [""] * len(files)
        return cleaned
