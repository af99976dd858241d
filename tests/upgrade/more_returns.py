"""Returns, memos and differences in the states the demo does not reach."""

import itertools

from fixtures.frames import DEPOSIT
from fixtures.returning import enter_and_post, send_home, stage
from inventory.actions.deposits.short_rows import Decided
from inventory.actions.ledger.periods import lock_period
from inventory.actions.memos.dispute_letters import keep_dispute_letter
from inventory.actions.memos.entering import (
    add_memo_line,
    drop_memo_line,
    enter_memo,
    match_memo_line,
)
from inventory.actions.memos.short_credits import (
    accept_short,
    agree_give_up,
    dispute_short,
    give_up_short,
    win_short,
)
from inventory.actions.returns.arrival import receive_return
from inventory.actions.returns.losses import lose_crate
from inventory.actions.returns.shipping import Departure, ship_return
from inventory.actions.returns.staging import cancel_return, change_return, take_off
from inventory.documents.papers.returns import return_paper_pdf
from inventory.models import Crate, Entry, ShortCredit
from inventory.queries.memos.dispute_letters import letter_for
from inventory.rules.memos.matching import Line
from tests.upgrade.more_deposits import reverse, tell_more_deposits
from tests.upgrade.more_month_ends import tell_more_month_ends
from tests.upgrade.more_suspense import tell_more_suspense, tell_more_undoing
from tests.upgrade.more_trucks import frames
from tests.upgrade.more_way_home import tell_way_home

_key = itertools.count(1)


def tell_more_returns(t):
    """Bring returns, memos, differences and deposits to every end they can have."""
    _closed_with_differences(t)
    _lost_and_freight(t)
    _cancelled(t)
    tell_more_deposits(t)
    tell_more_suspense(t)
    tell_more_undoing(t)
    _memo_in_work(t)
    tell_more_month_ends(t)
    lock_period(
        location=t.location,
        through=t.ago(20),
        person=t.cast.people["abel"],
        at=t.moment(t.ago(1), 17),
    )


def _decided(t, days, reason="", who="abel"):
    day = t.ago(days)
    return Decided(
        on=day,
        posting_key=f"decided/{next(_key)}",
        person=t.cast.people[who],
        at=t.moment(day, 10),
        reason=reason,
    )


def _short(crate, state="open"):
    return ShortCredit.objects.get(deposit__crate=crate, state=state)


def _closed_with_differences(t):
    """Send nine frames home; the memo leaves a difference on eight of them."""
    crates = frames(t, 1, 110, 9)
    home = send_home(
        t, crates, left=t.ago(90), carrier=t.cast.carriers["sedge"], driver=("Ives", 9)
    )
    _receive(t, home, 87)
    said = [
        (crates[0], DEPOSIT, ""),
        (crates[1], DEPOSIT - 900, "late"),
        (crates[2], DEPOSIT - 1_001, "price"),
        (crates[3], DEPOSIT - 1_100, "pin missing"),
        (crates[4], DEPOSIT - 9_900, "damaged"),
        (crates[5], 0, "not received"),
        (crates[6], DEPOSIT - 2_000, ""),
        (crates[7], DEPOSIT + 500, ""),
    ]
    enter_and_post(t, "OXC-2001", t.ago(60), said)
    accept_short(
        short=_short(crates[1]),
        version=_short(crates[1]).version,
        decided=_decided(t, 55, "It was late."),
    )
    win_short(
        short=_short(crates[2]),
        version=_short(crates[2]).version,
        cents=600,
        decided=_decided(t, 54),
    )
    _dispute(t, crates[3])
    won = _short(crates[3], "disputed")
    win_short(short=won, version=won.version, cents=1_100, decided=_decided(t, 50))
    small = _short(crates[6])
    give_up_short(
        short=small, version=small.version, decided=_decided(t, 49, "Too small.")
    )
    _dispute(t, crates[4])
    _letter(t, crates[4])
    for crate, agreed in ((crates[4], True), (crates[5], False)):
        _give_up_more(t, crate, agreed=agreed)
    _one_return_closed(t)


def _dispute(t, crate):
    row = _short(crate)
    dispute_short(
        short=row,
        version=row.version,
        decided=_decided(t, 53, "Our check shows it whole."),
    )


def _letter(t, crate):
    """Download the letter about a disputed credit, and so keep it."""
    row = _short(crate, "disputed")
    person = t.cast.people["abel"]
    keep_dispute_letter(
        after=0,
        short=row,
        data=return_paper_pdf(letter_for(row, person, t.ago(52))),
        person=person,
        at=t.moment(t.ago(52), 9),
    )


def _give_up_more(t, crate, *, agreed):
    """Ask to write off a difference above the limit; a second person may agree."""
    row = ShortCredit.objects.get(deposit__crate=crate, state__in=("open", "disputed"))
    row = give_up_short(
        short=row, version=row.version, decided=_decided(t, 48, "Not worth a suit.")
    )
    if agreed and row.state != "written-off":
        agree_give_up(
            short=row, version=row.version, decided=_decided(t, 47, who="mina")
        )


def _one_return_closed(t):
    crates = frames(t, 2, 80, 3)
    home = send_home(
        t, crates, left=t.ago(70), carrier=t.cast.carriers["sedge"], driver=("Ives", 2)
    )
    _receive(t, home, 66)
    enter_and_post(t, "OXC-2002", t.ago(45), [(crate, DEPOSIT, "") for crate in crates])


def _receive(t, home, days):
    home.refresh_from_db()
    receive_return(
        crate_return=home,
        version=home.version,
        received_on=t.ago(days),
        person=t.clerk,
        at=t.moment(t.ago(days), 15),
    )


def _lost_and_freight(t):
    """Ship with a bill of freight, lose one crate, and reverse the freight."""
    crates = frames(t, 3, 60, 3)
    row = stage(t, crates, planned=t.ago(40), carrier=t.cast.carriers["gannet"])
    row.refresh_from_db()
    row = ship_return(
        crate_return=row,
        version=row.version,
        departure=Departure(
            left_on=t.ago(40),
            billed_on=t.ago(41),
            carrier=t.cast.carriers["gannet"],
            driver_name="Lou Garrity",
            driver_count=2,
            how_signed="refused",
            freight_cents=24_500,
            supplier_bills_freight=True,
        ),
        person=t.clerk,
        at=t.moment(t.ago(40), 11),
    )
    line = row.lines.order_by("pk")[0]
    lose_crate(
        line=line,
        version=line.version,
        lost_on=t.ago(35),
        reason="The terminal cannot find it.",
        person=t.manager,
        at=t.moment(t.ago(35), 11),
    )
    reverse(t, Entry.objects.filter(kind="return-freight").get())
    tell_way_home(t, line)


def _cancelled(t):
    """Change, thin out and cancel a return that never left."""
    crates = frames(t, 4, 40, 3)
    row = stage(t, crates, planned=t.ago(20), carrier=t.cast.carriers["gannet"])
    row.refresh_from_db()
    at = t.moment(t.ago(19), 9)
    row = change_return(
        crate_return=row,
        version=row.version,
        person=t.clerk,
        at=at,
        planned_on=t.ago(17),
        appointment="Dock 4 at nine",
    )
    line = row.lines.order_by("pk")[0]
    take_off(
        line=line,
        version=line.version,
        reason="A pin is bent.",
        person=t.clerk,
        at=at,
    )
    row.refresh_from_db()
    cancel_return(
        crate_return=row,
        version=row.version,
        reason="The supplier sends its own truck.",
        person=t.clerk,
        at=at,
    )


def _memo_in_work(t):
    """Enter a memo that is not posted: lines added, taken out and matched by hand."""
    who = {"person": t.cast.people["abel"], "at": t.moment(t.ago(4), 10)}
    credited = Crate.objects.filter(state="credited").order_by("pk")[0]
    memo = enter_memo(
        location=t.location,
        supplier=t.cast.suppliers["oxbow"],
        number="OXC-2100",
        dated_on=t.ago(6),
        received_on=t.ago(4),
        lines=[
            Line(1, DEPOSIT, "UNKNOWN-1"),
            Line(2, 4_000, "", type_name="SF-72"),
            Line(3, DEPOSIT, credited.mark),
        ],
        **who,
    )
    added = add_memo_line(memo=memo, line=Line(4, 100, "TYPED-WRONG"), **who)
    drop_memo_line(line=added, version=added.version, **who)
    first = memo.lines.order_by("position")[0]
    match_memo_line(line=first, version=first.version, deposit=None, **who)
