"""Our statement of the open deposits with one supplier."""

from datetime import date

from reportlab.platypus import Flowable, Spacer

from inventory.documents.core import styles
from inventory.documents.core.around import PageText
from inventory.documents.core.page import Pages, build_pdf, section
from inventory.documents.core.styles import text_width
from inventory.documents.core.tables import Column, ruled_table
from inventory.documents.core.text import P
from inventory.rules.memos.statement_content import StatementContent

_BALANCES = (Column("", 70), Column("", 30, right=True))
_DEPOSITS = (
    Column("Crate", 26, strong=True),
    Column("Invoice", 20),
    Column("Charged", 18),
    Column("State", 20),
    Column("Open", 16, right=True),
)
_MOVEMENTS = (
    Column("Day", 18),
    Column("Entry", 38),
    Column("Charges", 14, right=True),
    Column("Credits", 14, right=True),
    Column("Balance", 16, right=True),
)


def statement_pdf(content: StatementContent, *, made_on: date) -> bytes:
    """Return the statement as PDF bytes; the same content returns the same bytes."""
    around = PageText(
        title=f"Crate deposits with {content.supplier}",
        author=content.location,
        head_left=content.location,
        head_right=f"{content.first} to {content.last}",
        foot=f"Crate deposits with {content.supplier}",
        paper=content.paper,
        made_on=made_on,
    )

    def story(_pages: Pages) -> list[Flowable]:
        return _story(content)

    return build_pdf(story, around)


def _story(content: StatementContent) -> list[Flowable]:
    width = text_width(content.paper)
    return [
        *P("Crate deposits", styles.TITLE),
        *P(
            f"From {content.first} to {content.last}, in {content.currency}.",
            styles.BODY,
        ),
        Spacer(1, 4),
        *_party("With", content.supplier, content.supplier_lines),
        *_party("Prepared by", content.location, content.location_lines),
        *section("Open amounts", _balances(content, width), content.paper),
        *section("Open deposits", _deposits(content, width), content.paper),
        *section("Entries in this period", _movements(content, width), content.paper),
    ]


def _party(lead: str, name: str, lines: tuple[str, ...]) -> list[Flowable]:
    return [
        *P(lead, styles.NOTE),
        *P(name, styles.LEAD),
        *P("\n".join(line for line in lines if line), styles.TIGHT),
        Spacer(1, 6),
    ]


def _balances(content: StatementContent, width: float) -> list[Flowable]:
    rows = [list(pair) for pair in content.balances]
    return ruled_table(_BALANCES, rows, width, totals=frozenset({len(rows) - 1}))


def _deposits(content: StatementContent, width: float) -> list[Flowable]:
    if not content.deposits:
        return P("No deposit is open.", styles.BODY)
    rows = [
        [row.crate, row.invoice, row.charged_on, row.stands, row.amount]
        for row in content.deposits
    ]
    rows.append(["Open in all", "", "", "", content.closing])
    return ruled_table(_DEPOSITS, rows, width, totals=frozenset({len(rows) - 1}))


def _movements(content: StatementContent, width: float) -> list[Flowable]:
    rows = [["", f"Open before {content.first}", "", "", content.opening]]
    rows += [
        [row.day, row.what, row.more, row.less, row.balance]
        for row in content.movements
    ]
    rows.append(["", f"Open at the end of {content.last}", "", "", content.closing])
    ends = frozenset({0, len(rows) - 1})
    return ruled_table(_MOVEMENTS, rows, width, totals=ends)
