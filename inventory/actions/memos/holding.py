"""Lines of a memo that pay for no crate of ours: posted against the suspense account."""

from dataclasses import dataclass
from datetime import date, datetime

from inventory.actions.core.versions import change_row
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.posting import post_entry
from inventory.actions.memos.suspense import hold_credit
from inventory.models import CreditMemo, MemoLine, User
from inventory.queries.memos.listing import left_out_lines
from inventory.rules.crates.words import MEMO_FATES
from inventory.rules.deposits import postings

AT_ONCE = 50
"""How many lines are posted in one transaction."""


@dataclass(frozen=True)
class PostingAct:
    """Who posts, when, and the day on which it takes effect."""

    person: User
    at: datetime
    on: date


def hold_line(memo: CreditMemo, line: MemoLine, cents: int, act: PostingAct) -> None:
    """Post a line that pays for no crate of ours against the suspense account."""
    why = MEMO_FATES[line.fate].lower()
    entry = post_entry(
        kind="memo",
        location=memo.location,
        supplier=memo.supplier,
        currency=memo.currency,
        effective_on=act.on,
        lines=postings.held(cents),
        posting_key=f"memo-line:{line.pk}",
        person=act.person,
        at=act.at,
        note=f"{memo}, line {line.position}: {why}, held in suspense",
        subjects=[memo],
    )
    change_row(line, version=line.version, entry=entry)
    line.memo = memo
    hold_credit(
        line=line,
        cents=cents,
        why=why,
        held_on=act.on,
        person=act.person,
        at=act.at,
    )


def hold_left_out(row: CreditMemo, _version: int, person: User, at: datetime) -> bool:
    """Hold the lines that were never posted; return whether none is left."""
    act = PostingAct(person, at, open_day(row.location, row.dated_on))
    lines = list(left_out_lines(row)[: AT_ONCE + 1])
    for line in lines[:AT_ONCE]:
        hold_line(row, line, line.amount_cents, act)
    return len(lines) <= AT_ONCE
