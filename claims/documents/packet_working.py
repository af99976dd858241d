"""The working file, and the sheet of opposing arguments: for us, never for the carrier."""

from collections.abc import Sequence
from datetime import date

from reportlab.platypus import Flowable, Spacer

from claims.rules.packet.content import Row
from claims.rules.packet.working import (
    HEADED,
    ArgumentSheet,
    DeadlineEntry,
    WorkingContent,
)
from inventory.documents.core import styles
from inventory.documents.core.around import PageText
from inventory.documents.core.drawings import RulerDrawing
from inventory.documents.core.page import Heading, Pages, build_pdf, section, together
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
_PAIR = (Column("", 30), Column("", 70))
_STEPS = (Column("", 76), Column("", 24, right=True))

NOT_ADVICE = "Nothing here is legal advice."


def working_pdf(content: WorkingContent) -> bytes:
    """Return the working file as PDF bytes; the same content returns the same bytes."""
    around = PageText(
        title=f"Working file {content.claim_number}",
        author=content.location,
        head_left=HEADED,
        head_right=f"Claim {content.claim_number}  ·  PRO {content.pro}",
        foot=f"Working file {content.claim_number}, as of {content.as_of}",
        paper=content.paper,
        head_on_first=True,
        made_on=date.fromisoformat(content.made_on),
    )

    def story(_pages: Pages) -> list[Flowable]:
        return _working(content)

    return build_pdf(story, around)


def _working(content: WorkingContent) -> list[Flowable]:
    width = text_width(content.paper)
    bodies = {
        "What blocks the claim file": _list(content.blocks),
        "Gaps": _list(content.gaps),
        "Who claims, and why": _reasoning(content),
        "Documents": _papers(content, width),
        "What the claim must show": _rows(content.elements, width),
        "Deadlines": [
            part for one in content.deadlines for part in _deadline(one, content.paper)
        ],
        "Limit of liability": _limits(content, width),
        "Changed amounts": _rows(content.changes, width),
        "Opinions on the cause": _rows(content.opinions, width),
        "Receipts compared": _rows(content.receipts, width),
        "Chronology": _chronology(content, width),
    }
    story = [
        *P(f"Working file {content.claim_number}", styles.TITLE),
        *P(f"{HEADED} {NOT_ADVICE}", styles.LEAD),
        *P(f"{content.carrier}. {content.amount}. As of {content.as_of}.", styles.BODY),
    ]
    for title, body in bodies.items():
        if body:
            story += section(title, body, content.paper)
    return story


def _list(words: Sequence[str]) -> list[Flowable]:
    return [part for one in words for part in P(one, styles.BODY)]


def _rows(rows: Sequence[Row], width: float) -> list[Flowable]:
    shown = [[row.label, row.value] for row in rows]
    return ruled_table(_PAIR, shown, width) if shown else []


def _reasoning(content: WorkingContent) -> list[Flowable]:
    why = content.reasoning
    made = P(why.answer, styles.LEAD)
    for number, reason in enumerate(why.reasons, start=1):
        made += P(f"{number}. {reason}", styles.BODY)
    for doubt in why.doubts:
        made += P(doubt, styles.BODY, lead="Check this.")
    return made + P("; ".join(why.authorities), styles.NOTE)


def _papers(content: WorkingContent, width: float) -> list[Flowable]:
    rows = [
        [paper.name, paper.state, paper.who_gets_it, paper.note]
        for paper in content.papers
    ]
    return ruled_table(_PAPERS, rows, width) if rows else []


def _limits(content: WorkingContent, width: float) -> list[Flowable]:
    rows = [[step.text, step.amount] for step in content.limits]
    totals = frozenset(i for i, step in enumerate(content.limits) if step.is_total)
    made = P(content.limit_words, styles.BODY)
    return made + (ruled_table(_STEPS, rows, width, totals=totals) if rows else [])


def _chronology(content: WorkingContent, width: float) -> list[Flowable]:
    rows = [[event.when, event.what, event.by] for event in content.chronology]
    return ruled_table(_STORY, rows, width) if rows else []


def _deadline(entry: DeadlineEntry, paper: str) -> list[Flowable]:
    sure = f" ({entry.confidence})" if entry.confidence else ""
    rows = [
        ("Due", f"{entry.due}, safe {entry.safe}" if entry.safe else entry.due),
        ("State", entry.status),
        ("Owed by", entry.owed_by),
        ("How it is counted", "\n".join(entry.steps)),
        ("Authority", f"{entry.authority}{sure}" if entry.authority else ""),
        ("If late", entry.effect),
    ]
    shown = [list(row) for row in rows if row[1]]
    made = [*P(entry.duty, styles.LEAD), *ruled_table(_PAIR, shown, text_width(paper))]
    if entry.ruler:
        mark = entry.ruler
        made.append(RulerDrawing(mark.safe_at, mark.due_at, mark.as_of_at))
        made += P(f"The ruler starts {mark.start}.", styles.NOTE)
    return together([*made, Spacer(1, 4)], paper)


def arguments_pdf(sheet: ArgumentSheet) -> bytes:
    """Return the opposing arguments as PDF bytes, headed with who asked for them."""
    asked = f"Prepared at the request of counsel: {sheet.counsel}, {sheet.asked_on}."
    around = PageText(
        title=f"Opposing arguments {sheet.claim_number}",
        author=sheet.location,
        head_left=asked,
        head_right=f"Claim {sheet.claim_number}",
        foot=f"Opposing arguments, as of {sheet.as_of}. Not to be sent.",
        paper=sheet.paper,
        head_on_first=True,
        made_on=date.fromisoformat(sheet.made_on),
    )

    def story(_pages: Pages) -> list[Flowable]:
        made = [
            *P("Opposing arguments", styles.TITLE),
            *P(asked, styles.LEAD),
            *P(
                f"Claim {sheet.claim_number}, {sheet.carrier}, PRO {sheet.pro}.",
                styles.BODY,
            ),
            Heading("What may be said against the claim"),
        ]
        if not sheet.arguments:
            made += P("The record holds no fact for any of them.", styles.BODY)
        width = text_width(sheet.paper)
        for one in sheet.arguments:
            rows = [["On record", one.fact], ["Our answer", one.answer]]
            body = [*P(one.title, styles.LEAD), *ruled_table(_PAIR, rows, width)]
            made += together(body, sheet.paper)
        return made

    return build_pdf(story, around)
