"""Credits that are not ours, held in suspense and brought to each end."""

import itertools
from datetime import timedelta

from fixtures.frames import DEPOSIT
from fixtures.returning import send_home
from inventory.actions.deposits.short_rows import Decided
from inventory.actions.memos.entering import enter_memo
from inventory.actions.memos.holding import AT_ONCE
from inventory.actions.memos.later import match_credit
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.reversing import reverse_memo
from inventory.actions.memos.suspense import (
    WrittenAnswer,
    return_credit,
    take_by_answer,
    take_by_reason,
)
from inventory.actions.returns.losses import lose_crate, reverse_loss
from inventory.models import Deposit, SuspenseLine
from inventory.rules.memos.matching import Line
from tests.upgrade.more_trucks import frames

_key = itertools.count(1)


def tell_more_suspense(t):
    """Post a memo with five lines that are not ours, and decide four of them."""
    crates = frames(t, 7, 60, 1)
    send_home(
        t, crates, left=t.ago(50), carrier=t.cast.carriers["sedge"], driver=("Ives", 1)
    )
    _post(t, "OXC-3001", [Line(n, DEPOSIT, f"THEIRS-{n}") for n in range(1, 6)])
    held = SuspenseLine.objects.filter(memo_line__memo__number="OXC-3001")
    match, back, answer, reason, _open = held.order_by("pk")
    match_credit(
        line=match,
        version=match.version,
        deposit=Deposit.objects.get(crate=crates[0]),
        decided=_decided(t, "It was this frame."),
    )
    return_credit(line=back, version=back.version, decided=_decided(t, "Not ours."))
    take_by_answer(
        line=answer,
        version=answer.version,
        answer=WrittenAnswer(t.ago(32), "J. Hale, email"),
        decided=_decided(t),
    )
    take_by_reason(
        line=reason,
        version=reason.version,
        decided=_decided(t, "Their account is closed.", "mina"),
    )


def tell_more_undoing(t):
    """Reverse memos and a loss, so that each row they leave is in a house."""
    crates = frames(t, 8, 60, 2)
    send_home(
        t, crates, left=t.ago(50), carrier=t.cast.carriers["sedge"], driver=("Ives", 2)
    )
    first, second = (crate.mark for crate in crates)
    _post(t, "OXC-3002", [Line(1, DEPOSIT - 900, first), Line(2, DEPOSIT, second)])
    part = _post(t, "OXC-3003", [Line(1, 400, first), Line(2, 5, "THEIRS-9")])
    _reverse(t, part)
    _reverse(t, _post(t, "OXC-3004", [Line(1, 900, first)]))
    many = [Line(n, 5, f"THEIRS-{n}") for n in range(1, AT_ONCE + 3)]
    _reverse(t, _post(t, "OXC-3005", many))
    _lost_and_found(t)


def _lost_and_found(t):
    (crate,) = frames(t, 9, 60, 1)
    home = send_home(
        t, [crate], left=t.ago(50), carrier=t.cast.carriers["sedge"], driver=("Ives", 1)
    )
    line = home.lines.get()
    who = {"person": t.cast.people["abel"], "at": t.moment(t.ago(30), 12)}
    lose_crate(
        line=line,
        version=line.version,
        lost_on=t.ago(35),
        reason="The terminal cannot find it.",
        **who,
    )
    line.refresh_from_db()
    reverse_loss(
        line=line,
        version=line.version,
        reason="It stood behind the dock.",
        reversed_on=t.ago(30),
        **who,
    )


def _reverse(t, memo):
    memo.refresh_from_db()
    reverse_memo(
        memo=memo,
        version=memo.version,
        reason="Typed for the wrong supplier.",
        reversed_on=t.ago(30),
        person=t.cast.people["abel"],
        at=t.moment(t.ago(30), 11),
    )


def _post(t, number, lines):
    abel = t.cast.people["abel"]
    memo = enter_memo(
        location=t.location,
        supplier=t.cast.suppliers["oxbow"],
        number=number,
        dated_on=t.ago(40),
        received_on=t.ago(39),
        lines=lines,
        person=abel,
        at=t.moment(t.ago(39), 9),
    )
    return post_memo(
        memo=memo, version=memo.version, person=abel, at=t.moment(t.ago(39), 10)
    )


def _decided(t, reason="", who="abel"):
    day = t.ago(30)
    return Decided(
        on=day,
        posting_key=f"suspense/{next(_key)}",
        person=t.cast.people[who],
        at=t.moment(day, 10) + timedelta(minutes=1),
        reason=reason,
    )
