"""The letter about a disputed credit: a draft, then kept as it went out."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from inventory.access import person_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.memos.dispute_letters import keep_dispute_letter
from inventory.evidence.pictures.drawn import picture_for
from inventory.evidence.seal.sent_documents import last_sent, last_sent_bytes
from inventory.models import Evidence, ShortCredit, User
from inventory.queries.memos.dispute_letters import letter_for, proof_photos
from inventory.rules.core.sent_documents import DISPUTE_LETTER
from inventory.rules.memos.short_credits import DISPUTED
from inventory.rules.returns.papers import Shot
from inventory.views.core.clock import now, to_local, today_at
from inventory.views.core.pdf_answers import answer_pdf
from inventory.views.memos.short_credits import short_of
from inventory.views.returns.acts import drawn


@require_safe
def dispute_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the letter about this difference, with its proof, as PDF.

    The first one downloaded while it is in dispute is the one that goes out: it is
    kept, and given ever after.
    """
    person = person_of(request)
    row = short_of(person, pk, "see-deposits")
    if row.state != DISPUTED or last_sent(row, DISPUTE_LETTER):
        return answer_pdf(
            lambda: last_sent_bytes(row, DISPUTE_LETTER) or _drawn(row, person),
            _letter_name(row),
        )
    data = _drawn(row, person)
    if request.method == "GET":
        try:
            keep_dispute_letter(short=row, data=data, person=person, at=now())
        except RefusedError as error:
            messages.error(request, str(error))
            return redirect("short_credit", row.pk)
    return answer_pdf(lambda: data, _letter_name(row))


@require_POST
def renew_dispute_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """Write the letter anew, with what was added since; the earlier one stays kept."""
    person = person_of(request)
    row = short_of(person, pk, "post-deposits")
    try:
        keep_dispute_letter(
            short=row, data=_drawn(row, person), person=person, at=now()
        )
    except RefusedError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The letter is written anew. Send this one.")
    return redirect("short_credit", row.pk)


def _drawn(row: ShortCredit, person: User) -> bytes:
    shots = tuple(
        shot for photo in proof_photos(row) if (shot := _shot(photo)) is not None
    )
    return drawn(letter_for(row, person, today_at(row.location), shots))


def _letter_name(row: ShortCredit) -> str:
    return f"short-credit-{row.pk}.pdf"


def _shot(photo: Evidence) -> Shot | None:
    picture = picture_for(photo.original_id)
    if picture is None:
        return None
    at = to_local(photo.location, photo.received_at)
    what = photo.caption or photo.get_kind_display()
    return Shot(picture, f"{what}. Received {at:%Y-%m-%d %H:%M}.")
