"""The letter about a disputed credit: a draft, then kept as it went out."""

from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from inventory.access import person_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.evidence.reading import ensure_readings
from inventory.actions.memos.dispute_letters import keep_dispute_letter
from inventory.evidence.pictures.drawn import picture_for
from inventory.evidence.seal.sent_documents import last_sent_bytes
from inventory.models import Evidence, ShortCredit, User
from inventory.queries.memos.dispute_letters import letter_for, proof_photos
from inventory.rules.core.sent_documents import DISPUTE_LETTER
from inventory.rules.evidence.markup import marked_copy
from inventory.rules.reckoning.moments import paper_time
from inventory.rules.returns.papers import ReturnPaper, Shot
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_pdf
from inventory.views.memos.short_credits import short_of
from inventory.views.returns.acts import drawn


@require_safe
def dispute_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the letter about this short-paid credit, with its proof, as PDF.

    It is the letter last made, as it was kept; before that a draft, which says so.
    """
    person = person_of(request)
    row = short_of(person, pk, "see-deposits")
    return answer_pdf(
        lambda: last_sent_bytes(row, DISPUTE_LETTER) or drawn(_draft(row, person)),
        _letter_name(row),
    )


@require_POST
def renew_dispute_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the letter, or make it again with what was added; the earlier one is kept.

    ``after`` is the version that its page showed, so a double click makes one letter.
    """
    person = person_of(request)
    row = short_of(person, pk, "post-deposits")
    after = request.POST.get("after", "")
    try:
        sent = keep_dispute_letter(
            short=row,
            data=drawn(_letter(row, person)),
            after=int(after) if after.isdecimal() and len(after) < 9 else 0,
            person=person,
            at=now(),
        )
    except RefusedError as error:
        messages.error(request, str(error))
    else:
        made = "made" if sent.document_version == 1 else "made again"
        messages.success(request, f"The letter is {made}. Send this one.")
    return redirect("short_credit", row.pk)


def _draft(row: ShortCredit, person: User) -> ReturnPaper:
    letter = _letter(row, person)
    return replace(letter, title=f"Draft, not to be sent. {letter.title}")


def _letter(row: ShortCredit, person: User) -> ReturnPaper:
    photos = proof_photos(row)
    ensure_readings(person=person, at=now(), photos=photos)
    shots = tuple(shot for photo in photos if (shot := _shot(photo)) is not None)
    return letter_for(row, person, today_at(row.location), shots)


def _letter_name(row: ShortCredit) -> str:
    return f"short-credit-{row.pk}.pdf"


def _shot(photo: Evidence) -> Shot | None:
    picture = picture_for(photo)
    if picture is None:
        return None
    what = photo.caption or photo.get_kind_display()
    received = paper_time(photo.received_at, photo.location.zone)
    marks = photo.marks
    named = f" {marked_copy(photo.original_id, photo.file_name)}" if marks else ""
    return Shot(picture, f"{what}. Received {received}.{named}", marks)
