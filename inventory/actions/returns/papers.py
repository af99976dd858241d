"""The papers that a return leaves with: drawn before it ships, kept as they went."""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings

from inventory.actions.core.sent_documents import keep_sent, store_document
from inventory.actions.receiving.deliveries import day_at
from inventory.evidence.store.originals import Stored
from inventory.models import CrateReturn, ReturnLine, User
from inventory.queries.returns.papers import bill_of, packing_list_of
from inventory.rules.core.sent_documents import BILL_OF_LADING, PACKING_LIST
from inventory.rules.returns.stacks import Trailer


@dataclass(frozen=True)
class Papers:
    """The stored papers of a return by their kind, and the lines they list."""

    lines: tuple[int, ...]
    documents: dict[str, Stored]


def store_papers(row: CrateReturn, *, trailer: Trailer, at: datetime) -> Papers:
    """Draw the papers of a return as it is about to leave, and store their bytes.

    ``row`` says already how it leaves, and is not saved yet. Nothing is drawn for a
    return without crates. Call it before the transaction. Raises RefusedError where
    the disk refuses.
    """
    from inventory.documents.papers.returns import return_paper_pdf  # noqa: PLC0415

    lines = row.lines.filter(is_taken_off=False).order_by("pk")
    listed = tuple(lines.values_list("pk", flat=True))
    if not listed:
        return Papers((), {})
    today = day_at(row.location, at)
    contents = {
        BILL_OF_LADING: bill_of(row, today),
        PACKING_LIST: packing_list_of(row, today, trailer),
    }
    return Papers(
        listed,
        {
            kind: store_document(
                return_paper_pdf(content, root=settings.RENDITION_ROOT)
            )
            for kind, content in contents.items()
        },
    )


def list_same(papers: Papers, lines: list[ReturnLine]) -> bool:
    """Return whether the papers list exactly these lines."""
    return papers.lines == tuple(line.pk for line in lines)


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
