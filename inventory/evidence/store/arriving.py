"""Files of a form that are written once: as drafts of the store, hashed on their way.

A file that is sent with a form lies somewhere until an act keeps it. Here it lies where
the originals are, so that keeping it takes a sync and a name, and not one more copy.
Whatever nobody keeps goes with its request; what a crash leaves is swept.
"""

from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import (
    FileUploadHandler,
    TemporaryFileUploadHandler,
)

from inventory.evidence.store.homes import StoreUnavailableError
from inventory.evidence.store.originals import Draft, begin_draft


class DiskRefusedError(StoreUnavailableError, OSError):
    """The disk did not take what arrived; nothing was saved."""


class ArrivedFile(UploadedFile):  # type: ignore[type-arg]
    """A file of a form whose bytes are a draft of the store."""

    def __init__(self, draft: Draft, name: str, **told: Any) -> None:  # noqa: ANN401
        super().__init__(draft.path.open("rb"), name, size=draft.size, **told)
        self.draft = draft

    def close(self) -> None:
        """Let the file go, and the draft with it."""
        super().close()
        self.draft.end()


class ArrivingFileHandler(TemporaryFileUploadHandler):
    """Writes what arrives into a draft; where there is none, as Django does."""

    draft: Draft | None = None

    def new_file(self, *args: Any, **options: Any) -> None:  # noqa: ANN401
        """Begin a draft."""
        self.draft = begin_draft()
        if self.draft is None:
            super().new_file(*args, **options)
        else:
            FileUploadHandler.new_file(self, *args, **options)

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        """Write the bytes. Raise DiskRefusedError, whatever the disk's reason is."""
        if self.draft is None:
            return super().receive_data_chunk(raw_data, start)
        try:
            self.draft.add(raw_data)
        except OSError as error:
            self.draft.end()
            raise DiskRefusedError(error.errno, error.strerror) from error
        return None

    def file_complete(self, file_size: int) -> "UploadedFile[bytes] | None":
        """Return the file."""
        if self.draft is None:
            return super().file_complete(file_size)
        draft, self.draft = self.draft, None
        return ArrivedFile(
            draft,
            self.file_name or "",
            content_type=self.content_type,
            charset=self.charset,
            content_type_extra=self.content_type_extra,
        )

    def upload_interrupted(self) -> None:
        """Take away what arrived of a file."""
        if self.draft is None:
            super().upload_interrupted()
        else:
            self.draft.end()
