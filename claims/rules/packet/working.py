"""The content of the working file: for our own desk, never for the carrier.

Clocks, gaps, confidence of sources and history are here and nowhere in a claim file:
an import contract keeps this module out of its documents, and a test holds every
sentence of a claim file against ``OURS``.
"""

from dataclasses import dataclass
from typing import Literal

from claims.rules.packet.content import Paper, Row
from claims.rules.packet.loss import Step

PaperState = Literal["present", "missing", "not needed"]

HEADED = "Working file. For our own desk. Not to be sent."

OURS = (
    "from memory",
    "text seen",
    "secondary source",
    "legal advice",
    "burden",
    "bond of indemnity",
    "indemnity bond",
    "may want",
    "before the claim goes out",
    "find the delivery terms",
    "not decided",
    "deadline",
    "safe day",
    "overdue",
    "running",
    "barred",
    "passed",
    "missing from the pod",
    "pod not received",
    "concealed damage is",
    "limit of liability",
    "a limit is",
    "expected recovery",
    "opinion",
    "packing by the supplier",
    "our handling",
    "to get",
    "who gets it",
    "not proven",
    "working file",
    "counsel",
)
"""What belongs to the working file; none of it is in our own wording of a claim file."""


@dataclass(frozen=True)
class Ruler:
    """Positions of safe date, due date and as-of date between start and due.

    Positions are thousandths of the ruler, 0 to 1000; None leaves the mark out.
    """

    start: str
    safe_at: int
    due_at: int
    as_of_at: int | None = None


@dataclass(frozen=True)
class DeadlineEntry:
    """One dated duty: how it was counted and on what authority.

    ``status`` reads like "met 12 March 2026", "passed ..." or "running".
    """

    duty: str
    owed_by: str
    due: str
    safe: str
    status: str
    steps: tuple[str, ...]
    authority: str
    confidence: str
    effect: str = ""
    ruler: Ruler | None = None


@dataclass(frozen=True)
class Reasoning:
    """Why this claimant may claim: the answer, its reasons, its authorities, doubts."""

    answer: str
    reasons: tuple[str, ...] = ()
    authorities: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True)
class ProofPaper:
    """A document the claim needs; ``note`` is why it is missing or not needed."""

    name: str
    state: PaperState
    who_gets_it: str = ""
    note: str = ""


@dataclass(frozen=True)
class StoryEvent:
    """One entry of the chronology."""

    when: str
    what: str
    by: str = ""


@dataclass(frozen=True)
class WorkingContent:
    """Everything about a claim that is ours alone, on one day."""

    claim_number: str
    location: str
    carrier: str
    pro: str
    amount: str
    as_of: str
    made_on: str
    paper: Paper
    blocks: tuple[str, ...]
    gaps: tuple[str, ...]
    reasoning: Reasoning
    papers: tuple[ProofPaper, ...]
    elements: tuple[Row, ...]
    deadlines: tuple[DeadlineEntry, ...]
    limits: tuple[Step, ...]
    limit_words: str
    changes: tuple[Row, ...]
    opinions: tuple[Row, ...]
    receipts: tuple[Row, ...]
    chronology: tuple[StoryEvent, ...]


@dataclass(frozen=True)
class Argument:
    """One argument that the carrier may bring, the fact behind it, and our answer."""

    title: str
    fact: str
    answer: str


@dataclass(frozen=True)
class ArgumentSheet:
    """The opposing arguments, made only at the request of a counsel on record."""

    claim_number: str
    location: str
    carrier: str
    pro: str
    counsel: str
    asked_on: str
    as_of: str
    made_on: str
    paper: Paper
    arguments: tuple[Argument, ...]
