"""Answering a document as PDF, and saying so where its kept file is lost."""

from collections.abc import Callable
from typing import BinaryIO
from weakref import finalize

from django.http import FileResponse, HttpResponse

from inventory.evidence.seal.sent_documents import LostDocumentError


def answer_pdf(
    give: Callable[[], bytes], name: str, *, disposition: str = "inline"
) -> HttpResponse:
    """Return what ``give`` gives as a PDF of this name.

    A document that went out and whose kept file is gone is answered with 404 and the
    reason, as plain text.
    """
    try:
        data = give()
    except LostDocumentError as error:
        lost = HttpResponse(
            str(error), content_type="text/plain; charset=utf-8", status=404
        )
        lost["Cache-Control"] = "no-store"
        return lost
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'{disposition}; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer


def answer_file(
    file: BinaryIO, name: str, *, disposition: str = "inline"
) -> FileResponse:
    """Return an open PDF under this name. It is sent piece by piece, then closed."""
    answer = FileResponse(file, content_type="application/pdf")
    finalize(answer, file.close)  # where nobody reads it, or closes the answer
    answer["Content-Disposition"] = f'{disposition}; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
