"""What each line of a memo is when it is posted: a person's decision on it stays."""

from collections.abc import Sequence

from inventory.actions.core.versions import RefusedError
from inventory.models import CreditMemo, MemoLine, ShortCredit
from inventory.queries.memos.awaited import fates_of, line_of, pool_beside
from inventory.rules.memos import matching as rules
from inventory.rules.memos.matching import Awaited, Fate

_MOST_NAMED = 10


def posted_lines(lines: Sequence[MemoLine]) -> frozenset[int]:
    """Return the keys of the lines that an earlier part has posted."""
    told = ShortCredit.objects.filter(memo_line__in=[line.pk for line in lines])
    with_short = set(told.values_list("memo_line_id", flat=True))
    return frozenset(
        line.pk for line in lines if line.entry_id is not None or line.pk in with_short
    )


def current_results(
    memo: CreditMemo,
    lines: Sequence[MemoLine],
    done: frozenset[int],
    pool: Sequence[Awaited],
) -> list[Fate]:
    """Return each line's current result: a person's decision on it stays."""
    by_key = {row.key: row for row in pool}
    found: dict[int, Fate] = {}
    taken: set[int] = set()
    for line in lines:
        if line.pk in done or (line.fate and line.fate not in rules.PAYS):
            found[line.pk] = _stays(line)
        elif line.deposit_id in by_key and line.deposit_id not in taken:
            taken.add(by_key[line.deposit_id].key)
            found[line.pk] = _again(line, by_key[line.deposit_id], memo.currency)
    rest = [line for line in lines if line.pk not in found]
    beside = pool_beside(memo, pool, skip=[line.pk for line in rest])
    matched = fates_of([line_of(line) for line in rest], beside, memo.currency)
    found |= {line.pk: fate for line, fate in zip(rest, matched, strict=True)}
    return [found[line.pk] for line in lines]


def _stays(line: MemoLine) -> Fate:
    return Fate(
        line.position,
        line.amount_cents,
        line.fate,
        line.deposit_id,
        line.expected_cents,
    )


def _again(line: MemoLine, row: Awaited, currency: str) -> Fate:
    """Match the line to its deposit again; its cause stays where the sums are the same."""
    fate = rules.match_one(line_of(line), row, currency)
    if line.expected_cents == fate.expected and fate.fate in rules.SHORTER:
        return Fate(fate.position, fate.amount, line.fate, fate.key, fate.expected)
    return fate


def refuse_unmatched(fates: Sequence[Fate]) -> None:
    """Raise RefusedError for a memo without lines or with one that is not matched."""
    open_ones = [str(fate.position) for fate in fates if not fate.fate]
    if not fates:
        raise RefusedError("The memo has no lines. Nothing was posted. Add its lines.")
    if open_ones:
        named = ", ".join(open_ones[:_MOST_NAMED])
        more = len(open_ones) - _MOST_NAMED
        rest = f" and {more} more" if more > 0 else ""
        raise RefusedError(
            f"Line {named}{rest} is not matched. Nothing was posted. Match it to a "
            "crate, or mark it as not ours."
        )
