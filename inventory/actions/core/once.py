"""Saving what one sending of a form asks for, once, however often it arrives.

A double click, a retry after a lost answer, or a phone that sends again when it is
back on the network: each repeats the id that its form carries. The first sending
does the act; every other is given the same answer.
"""

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import Model, QuerySet

from inventory.actions.core.versions import RefusedError
from inventory.models import Once, User
from inventory.rules.evidence.chain import canonical_json


@dataclass(frozen=True)
class Answer:
    """What a person is answered when an act is done: a sentence, and a page.

    ``noun``, ``key`` and ``label`` name the row that was made or changed.
    """

    message: str
    page: str
    noun: str = ""
    key: str = ""
    label: str = ""

    @classmethod
    def about(cls, row: Model, *, message: str, page: str) -> "Answer":
        """Return the answer that names this row."""
        return cls(
            message=message,
            page=page,
            noun=str(row._meta.model_name),
            key=str(row.pk),
            label=str(row)[:200],
        )


@dataclass(frozen=True)
class Sending:
    """One sending of a form: who asks for which act, with what, under which id.

    ``body`` is any JSON value; two sendings are the same where act and body are.
    """

    client_id: UUID
    person: User
    act: str
    body: Mapping[str, object]
    location_id: int | None = None

    @property
    def digest(self) -> str:
        """Return the SHA-256 of the body, in hex."""
        return hashlib.sha256(canonical_json(self.body).encode()).hexdigest()


class SavedBeforeError(RefusedError):
    """Something else was saved under this id; ``answer`` says what."""

    def __init__(self, answer: Answer) -> None:
        super().__init__(f"Already saved as {answer.label or 'another entry'}.")
        self.answer = answer


def posting_key(client_id: UUID, person: User) -> str:
    """Return the ledger's key for what this person posts under this id."""
    return str(uuid5(client_id, f"posting of {person.pk}"))


def answer_before(sending: Sending | None) -> Answer | None:
    """Return the answer that this sending was given before, if it was and has an id.

    Raises SavedBeforeError where its id was used for another act or body.
    """
    row = _rows_of(sending).first() if sending else None
    return _same_answer(row, sending) if sending and row else None


def save_once(sending: Sending, *, at: datetime, make: Callable[[], Answer]) -> Answer:
    """Do the act unless this sending did it before; return its answer either way.

    ``make`` is called in the transaction that writes the id, so both are saved or
    neither. A parallel sending of the same id waits here for the first one. Raises
    SavedBeforeError where the id was used for another act or body, and whatever
    ``make`` raises, with nothing saved.
    """
    with transaction.atomic():
        _write_id(sending, at)
        row = _rows_of(sending).get()
        if row.page or row.message:  # others' rows are seen only once completed
            return _same_answer(row, sending)
        answer = make()
        Once.objects.filter(pk=row.pk).update(**asdict(answer))
    return answer


def _write_id(sending: Sending, at: datetime) -> None:
    row = Once(
        client_id=sending.client_id,
        person=sending.person,
        location_id=sending.location_id,
        act=sending.act,
        digest=sending.digest,
        made_at=at,
    )
    Once.objects.bulk_create([row], ignore_conflicts=True)


def _rows_of(sending: Sending) -> QuerySet[Once]:
    return Once.objects.filter(person=sending.person, client_id=sending.client_id)


def _same_answer(row: Once, sending: Sending) -> Answer:
    answer = Answer(
        message=row.message,
        page=row.page,
        noun=row.noun,
        key=row.key,
        label=row.label,
    )
    if (row.act, row.digest) != (sending.act, sending.digest):
        raise SavedBeforeError(answer)
    return answer


def made_by(*, person_id: int, client_id: UUID, noun: str) -> str:
    """Return the key of the row of this noun that this sending made, or ""."""
    rows = Once.objects.filter(person=person_id, client_id=client_id, noun=noun)
    return rows.values_list("key", flat=True).first() or ""
