"""Reasoning, documents, deadlines, chronology, evidence, and the claim file's own basis."""

import hashlib
from collections.abc import Sequence

from reportlab.platypus import Flowable, Spacer

from claims.rules.packet.content import DeadlineEntry, PacketContent, manifest_bytes
from claims.rules.packet.manifest import CHECKER_NAME, MANIFEST_NAME, in_groups
from inventory.documents.core import styles
from inventory.documents.core.drawings import RulerDrawing
from inventory.documents.core.page import together
from inventory.documents.core.styles import text_width
from inventory.documents.core.tables import Column, ruled_table
from inventory.documents.core.text import P

_PAPERS = (
    Column("Document", 36, strong=True),
    Column("State", 15),
    Column("Who gets it", 19),
    Column("Note", 30),
)
_STORY = (Column("When", 27), Column("What", 53), Column("By", 20))
_EVIDENCE = (
    Column("No.", 6, right=True),
    Column("Original, as received", 38),
    Column("SHA-256 of its bytes", 56, size=7.6),
)
_PAIR = (Column("", 24), Column("", 76))
_TREE = (Column("", 24), Column("", 76, size=8))
_TYPED = (Column("", 24), Column("", 76, size=9.6))
"""Wide enough to be typed from the page."""

NOT_ADVICE = "Nothing here is legal advice."
_CHAIN = (
    "Every act on this claim was recorded when it happened, in a chain of events "
    "that cannot be changed unnoticed. The root below covers all of them up to this "
    "claim file."
)
_HOW_TO_CHECK = (
    f"Two files are attached to this one: {MANIFEST_NAME}, which lists each original "
    f"with its sealed record, and {CHECKER_NAME}, a short program that needs Python "
    "3 and no software of ours. Save both, ask us for the originals, put those into "
    f"one folder and run: python3 {CHECKER_NAME} {MANIFEST_NAME} FOLDER. Type the "
    "number of events and the root from this page, not from the file. It reports "
    "whether every original has the bytes that were recorded, and whether its "
    "record was in the chain when this claim file was made."
)


def reasoning(content: PacketContent) -> list[Flowable]:
    """Return who claims, the reasons in order, and the authorities."""
    why = content.reasoning
    made = P(why.answer, styles.LEAD)
    for number, reason in enumerate(why.reasons, start=1):
        made += P(f"{number}. {reason}", styles.BODY)
    made += P("; ".join(why.authorities), styles.NOTE)
    return together(made, content.paper)


def papers(content: PacketContent) -> list[Flowable]:
    """Return the documents a claim needs: present, missing or not needed."""
    if not content.papers:
        return []
    rows = [
        [paper.name, paper.state, paper.who_gets_it, paper.note]
        for paper in content.papers
    ]
    return ruled_table(_PAPERS, rows, text_width(content.paper))


def deadlines(content: PacketContent) -> list[Flowable]:
    """Return each duty with its dates, how they were counted, and on what authority."""
    return [
        kept
        for entry in content.deadlines
        for kept in together(_deadline(entry, content.paper), content.paper)
    ]


def chronology(content: PacketContent) -> list[Flowable]:
    """Return what happened, in order of time."""
    if not content.chronology:
        return []
    rows = [[event.when, event.what, event.by] for event in content.chronology]
    return ruled_table(_STORY, rows, text_width(content.paper))


def evidence(content: PacketContent) -> list[Flowable]:
    """Return every original with its full SHA-256, so that a copy can be checked."""
    if not content.evidence:
        return []
    rows = []
    for item in content.evidence:
        file = ", ".join(part for part in (item.file_kind, item.size) if part)
        facts = (item.kind, file, f"received {item.received}")
        rows.append([item.number, "\n".join(f for f in facts if f), item.sha256])
    intro = P(
        "Each original is stored unchanged, byte for byte, under the SHA-256 of its "
        "contents. The photos in this claim file are smaller copies made from the "
        "originals. Marks are drawn on copies only, and the caption says so.",
        styles.BODY,
    )
    return [*intro, *ruled_table(_EVIDENCE, rows, text_width(content.paper))]


def about(content: PacketContent) -> list[Flowable]:
    """Return version, as-of date, and the tree of events the claim file is based on."""
    attached = manifest_bytes(content)
    root = content.tree.root
    rows = [
        ["Version", content.version],
        ["As of", content.as_of],
        ["Events recorded", content.tree.size],
        ["Root of their tree", in_groups(root) if attached else root],
    ]
    made = P(f"{_CHAIN} {NOT_ADVICE}", styles.BODY)
    if content.manifest is not None:
        digest = hashlib.sha256(attached).hexdigest()
        rows += [
            ["Originals listed", str(len(content.manifest.originals))],
            ["SHA-256 of the list", in_groups(digest)],
        ]
        made += P(
            _HOW_TO_CHECK, styles.BODY, lead="How to check it without our software."
        )
    columns = _TYPED if attached else _TREE
    table = ruled_table(columns, rows, text_width(content.paper))
    return together([*made, *table], content.paper)


def _deadline(entry: DeadlineEntry, paper: str) -> list[Flowable]:
    rows = _deadline_rows(entry)
    made = [
        *P(entry.duty, styles.LEAD),
        *ruled_table(_PAIR, rows, text_width(paper)),
    ]
    if entry.ruler:
        mark = entry.ruler
        made.append(RulerDrawing(mark.safe_at, mark.due_at, mark.as_of_at))
        made += P(f"The ruler starts {mark.start}.", styles.NOTE)
    return [*made, Spacer(1, 4)]


def _deadline_rows(entry: DeadlineEntry) -> Sequence[Sequence[str]]:
    sure = f" ({entry.confidence})" if entry.confidence else ""
    rows = [
        ("Due", f"{entry.due}, safe {entry.safe}" if entry.safe else entry.due),
        ("State", entry.status),
        ("Owed by", entry.owed_by),
        ("How it is counted", "\n".join(entry.steps)),
        ("Authority", f"{entry.authority}{sure}" if entry.authority else ""),
        ("If late", entry.effect),
    ]
    return [list(row) for row in rows if row[1]]
