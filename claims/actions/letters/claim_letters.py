"""Letters about a claim: drafted, confirmed by a person, frozen, sent and proven."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.db import transaction

from claims.actions.claim.steps import locked, read_again
from claims.actions.letters.letter_mails import draw_letter_mail
from claims.models import Claim, ClaimLetter
from claims.queries.core.parties import readdressed, written_to
from claims.queries.letters.claim_letters import letter_facts
from claims.rules.core.sending import sent_words
from claims.rules.core.vocabulary import LETTER_PROOFS
from claims.rules.letters.claim_letter import LetterKind
from claims.rules.letters.claim_letter_content import (
    WrittenLetter,
    mail_text,
    write_letter,
)
from claims.rules.letters.claim_letter_life import LetterDays
from claims.rules.letters.content import to_json
from inventory.actions.core.events import lock_chain, record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.core.versions import RefusedError, change_row, granted
from inventory.actions.mail.outbox import put_in_outbox
from inventory.evidence.store.originals import Stored
from inventory.models import Carrier, Evidence, User
from inventory.rules.core.sent_documents import CLAIM_LETTER
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.moments import dock_day

CHANGED = (
    "Something in this claim changed after you saw the letter. Nothing was saved. Below "
    "is the letter as it is now. Read it again, then confirm it."
)


@dataclass(frozen=True)
class LetterStep:
    """One act on one letter; ``today`` is the location's own day."""

    person: User
    at: datetime
    today: date
    version: int
    on: date | None = None


@dataclass(frozen=True)
class LetterOrder:
    """Which letter a person writes today, with the choices of its kind.

    ``company`` is the key of another company of the bill than the claim's addressee.
    """

    claim: Claim
    kind: LetterKind[Any]
    choices: object
    person: User
    at: datetime
    today: date
    company: str = ""


@dataclass(frozen=True)
class DrawnLetter:
    """A letter whose bytes are stored and whose row is not written yet."""

    order: LetterOrder
    letter: WrittenLetter
    document: Stored


def draft_letter(order: LetterOrder) -> WrittenLetter:
    """Return the letter as it would be confirmed now. Nothing is saved.

    Raise RefusedError with every reason against it.
    """
    claim, kind = readdressed(order.claim, order.company), order.kind
    facts = letter_facts(claim, person=order.person, today=order.today)
    against = kind.against(facts) or kind.against_choices(facts, order.choices)
    if against:
        raise RefusedError(" ".join((*against, "No letter was written.")))
    return write_letter(
        kind,
        facts,
        order.choices,
        number=claim.letters.count() + 1,
        paper="a4" if claim.location.paper == "a4" else "letter",
    )


def draw_letter(order: LetterOrder, *, seen: str) -> DrawnLetter:
    """Draw and store the letter that was confirmed; write no row.

    ``seen`` is the digest of what the person saw. Raise RefusedError where that is
    another letter by now, or where the disk refuses.
    """
    from claims.documents.letters import letter_pdf  # noqa: PLC0415 - slow to import

    letter = _unchanged(order, seen)
    return DrawnLetter(order, letter, store_document(letter_pdf(letter.content)))


def freeze_letter(drawn: DrawnLetter) -> ClaimLetter:
    """Save the letter that was drawn, with its PDF. Its words never change from then.

    It is written once more while nobody else records anything: raise RefusedError
    where that gives another one.
    """
    letter, order = drawn.letter, drawn.order
    content = letter.content
    with transaction.atomic():
        begin_sending(drawn.document)
        locked(order.claim)
        lock_chain()  # from here on nobody changes what it says
        claim = read_again(order.claim)
        _unchanged(replace(order, claim=claim), letter.digest)
        row = ClaimLetter.objects.create(
            claim=claim,
            kind=letter.kind,
            number=letter.number,
            addressee=content.addressee.name,
            addressed_to=_company(letter, claim),
            subject=content.subject,
            text=mail_text(content),
            content=to_json(content),
            choices=letter.choices,
            dated_on=order.today,
            digest=letter.digest,
            confirmed_at=order.at,
            confirmed_by=order.person,
        )
        keep_sent(
            drawn.document,
            about=row,
            kind=CLAIM_LETTER,
            location=claim.location,
            person=order.person,
            at=order.at,
        )
        said = {"kind": mid_sentence(row.kind_words), "sha": letter.digest}
        _tell(row, "letter.confirmed", person=order.person, at=order.at, data=said)
    return row


def _company(letter: WrittenLetter, claim: Claim) -> Carrier | None:
    """Return the company of the bill that the letter goes to, if any."""
    to = written_to(claim)
    return to if letter.content.addressee.name == to.printed_name else None


def _unchanged(order: LetterOrder, seen: str) -> WrittenLetter:
    letter = draft_letter(order)
    if letter.digest != seen:
        raise RefusedError(CHANGED)
    return letter


def send_letter(
    *,
    letter: ClaimLetter,
    how: str,
    step: LetterStep,
    mail_to: str = "",
    tracking: str = "",
) -> ClaimLetter:
    """Record that the letter was sent. Sending again moves the day.

    With ``mail_to`` it is mailed from here, to that address, with its PDF and what it
    encloses. Raise RefusedError with every reason against it, and StaleRowError.
    """
    mail = (
        draw_letter_mail(letter, mail_to, person=step.person, at=step.at)
        if mail_to
        else None
    )
    with transaction.atomic():
        if mail:
            begin_sending(mail.document)
        row = _locked(letter)
        _require(row, "send", step)
        went = {"sent_on": step.on, "sent_how": how, "tracking": tracking}
        change_row(row, version=step.version, **went)
        if mail:
            put_in_outbox(
                mail,
                about=row,
                story=[row.claim, row.claim.shipment],
                location=row.claim.location,
                person=step.person,
                at=step.at,
            )
        words = sent_words(how, to=row.addressee, tracking=tracking)
        said = {"how": words, "on": _iso(step.on)}
        _tell(row, "letter.sent", person=step.person, at=step.at, data=said)
    return row


def receive_letter(
    *,
    letter: ClaimLetter,
    proof: str,
    words: str,
    file: Evidence | None,
    step: LetterStep,
) -> ClaimLetter:
    """Record the day on which the addressee received it, and what proves that.

    ``proof`` is a key of ``LETTER_PROOFS``. Raise RefusedError and StaleRowError.
    """
    said = f"{LETTER_PROOFS[proof]}: {words}"
    with transaction.atomic():
        row = _locked(letter)
        _require(row, "receive", step, proof=proof, words=words)
        change_row(
            row,
            version=step.version,
            received_on=step.on,
            receipt_words=said,
            proof=file,
        )
        data = {"on": _iso(step.on), "proof": said}
        _tell(row, "letter.received", person=step.person, at=step.at, data=data)
    return row


def drop_letter(*, letter: ClaimLetter, reason: str, step: LetterStep) -> ClaimLetter:
    """Record that a letter is not sent, and why. It stays, and is not due again.

    Raise RefusedError and StaleRowError.
    """
    with transaction.atomic():
        row = _locked(letter)
        _require(row, "drop", step, reason=reason)
        change_row(
            row, version=step.version, dropped_on=step.today, dropped_reason=reason
        )
        data = {"reason": reason}
        _tell(row, "letter.dropped", person=step.person, at=step.at, data=data)
    return row


def _locked(letter: ClaimLetter) -> ClaimLetter:
    return (
        ClaimLetter.objects.select_for_update(of=("self",))
        .select_related("claim__location", "claim__shipment")
        .get(pk=letter.pk)
    )


def _require(
    row: ClaimLetter,
    act: str,
    step: LetterStep,
    *,
    reason: str = "",
    proof: str = "",
    words: str = "",
) -> None:
    facts = LetterDays(
        today=step.today,
        on=step.on,
        sent_on=row.sent_on,
        confirmed_on=dock_day(row.confirmed_at, row.claim.location.zone),
        reason=reason,
        proof=proof,
        words=words,
    )
    granted(row.life.decide(row.state, act, facts))


def _iso(day: date | None) -> str:
    return day.isoformat() if day else ""


def _tell(
    row: ClaimLetter,
    kind: str,
    *,
    person: User,
    at: datetime,
    data: Mapping[str, object],
) -> None:
    claim = row.claim
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=claim.location,
        subjects=[claim.shipment, claim, row],
        data={"number": claim.number, "letter": row.number, **data},
    )
