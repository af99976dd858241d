"""The papers that a return leaves with: drawn before it ships, kept as they went."""

from dataclasses import dataclass, field
from datetime import date, datetime

from django.conf import settings

from inventory.actions.core.sent_documents import keep_sent, store_document
from inventory.actions.receiving.deliveries import day_at
from inventory.evidence.seal.register import last_sequence
from inventory.evidence.store.originals import Stored
from inventory.models import CrateReturn, ReturnLine, User
from inventory.queries.returns.papers import bill_of, packing_list_of
from inventory.rules.core.sent_documents import BILL_OF_LADING, PACKING_LIST
from inventory.rules.returns.papers import ReturnPaper
from inventory.rules.returns.stacks import Trailer


@dataclass(frozen=True)
class Papers:
    """The papers of a return by their kind: what they say and, stored, how they look.

    ``lines`` are those they list, ``today`` is the day on them, and ``before`` the
    number of the last event when they were read. Without crates there are no papers.
    """

    lines: tuple[int, ...]
    trailer: Trailer
    today: date
    before: int = 0
    says: dict[str, ReturnPaper] = field(default_factory=dict)
    documents: dict[str, Stored] = field(default_factory=dict)


def store_papers(row: CrateReturn, *, trailer: Trailer, at: datetime) -> Papers:
    """Draw the papers of a return as it is about to leave, and store their bytes.

    ``row`` says already how it leaves, and is not saved yet. Nothing is drawn for a
    return without crates. Call it before the transaction. Raises RefusedError where
    the disk refuses.
    """
    from inventory.documents.papers.returns import return_paper_pdf  # noqa: PLC0415

    before = last_sequence()
    lines = row.lines.filter(is_taken_off=False).order_by("pk")
    listed = tuple(lines.values_list("pk", flat=True))
    today = day_at(row.location, at)
    says = _written(row, today, trailer) if listed else {}
    documents = {
        kind: store_document(return_paper_pdf(content, root=settings.RENDITION_ROOT))
        for kind, content in says.items()
    }
    return Papers(listed, trailer, today, before, says, documents)


def _written(row: CrateReturn, today: date, trailer: Trailer) -> dict[str, ReturnPaper]:
    return {
        BILL_OF_LADING: bill_of(row, today),
        PACKING_LIST: packing_list_of(row, today, trailer),
    }


def list_same(papers: Papers, lines: list[ReturnLine]) -> bool:
    """Return whether the papers list exactly these lines."""
    return papers.lines == tuple(line.pk for line in lines)


def say_same(papers: Papers, row: CrateReturn) -> bool:
    """Return whether the papers would say the same now. Call it with the chain locked.

    ``row`` is the return as it has left. Nothing is read where nothing was recorded.
    """
    if not papers.says or last_sequence() == papers.before:
        return True
    return papers.says == _written(row, papers.today, papers.trailer)


def keep_papers(
    row: CrateReturn, papers: Papers, *, person: User, at: datetime
) -> None:
    """Write the rows of the papers in the transaction in which the return ships."""
    for kind, document in papers.documents.items():
        keep_sent(
            document,
            about=row,
            kind=kind,
            location=row.location,
            person=person,
            at=at,
        )
