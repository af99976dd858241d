"""Books drawn by a seed: what accounting may do with crates, memos and what they leave.

Every act goes through the real action; what an action refuses is left undone.
"""

from datetime import date, timedelta
from random import Random

from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.deposits.earlier_credits import bring_in_credits
from inventory.actions.deposits.ending import bring_in_opening, forfeit_deposit
from inventory.actions.ledger.periods import lock_period
from inventory.actions.memos.later import match_credit
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.reversing import enter_again, reverse_memo
from inventory.actions.memos.short_credits import (
    accept_short,
    dispute_short,
    give_up_short,
    win_short,
)
from inventory.actions.memos.suspense import (
    WrittenAnswer,
    return_credit,
    take_by_answer,
    take_by_reason,
)
from inventory.actions.memos.undoing import last_decision, undo_decision
from inventory.actions.returns.losses import lose_crate, reverse_loss
from inventory.models import (
    BalanceAssertion,
    Crate,
    CreditMemo,
    Deposit,
    ReturnLine,
    ShortCredit,
    SuspenseLine,
)
from tests import making
from tests.ledger import DAY, charge
from tests.returning import (
    AT,
    LEFT,
    begin,
    decided,
    make_stage,
    memo_of,
    ready_crate,
    ship,
    stage,
)

LAST = date(2026, 7, 20)
REMARKS = ("", "late", "bracket missing", "other price")


class Bookkeeper:
    """Makes one book with a supplier and acts on it at random."""

    def __init__(self, seed, who=None):
        self.draw = Random(seed)
        self.book = make_stage(crates=self.draw.randint(3, 6), who=who)
        self.day = LEFT
        for crate in self.book.crates:
            crate.refresh_from_db()

    def work(self, acts=14):
        """Do this many acts, each possible or refused."""
        ways = (
            *(self.ship,) * 3,
            *(self.memo,) * 5,
            *(self.decide_short,) * 3,
            *(self.decide_held,) * 3,
            self.undo_decision,
            self.lose,
            *(self.undo_memo,) * 3,
            self.undo_loss,
            self.forfeit,
            self.charge,
            self.state,
            self.lock,
        )
        self.ship()
        if self.draw.random() < 0.3:
            self.expect_earlier()
        for _ in range(acts):
            self.day = min(LAST, self.day + timedelta(days=self.draw.randint(0, 12)))
            try:
                self.draw.choice(ways)()
            except (RefusedError, StaleRowError):
                continue
        return self.book

    def ship(self):
        """Ship some of the crates in the yard."""
        ready = list(Crate.objects.filter(state="complete"))
        if not ready:
            ready_crate(self.book)
            return
        chosen = self.draw.sample(ready, self.draw.randint(1, len(ready)))
        row = begin(self.book)
        stage(self.book, row, chosen)
        ship(self.book, row, left_on=self.day, billed_on=self.day)

    def memo(self):
        """Enter a memo of crates that left, of strangers, and of both; post most."""
        gone = list(Crate.objects.filter(state__in=("shipped", "short-credited")))
        chosen = self.draw.sample(gone, self.draw.randint(0, len(gone)))
        cents = (12_000, 12_000, 9_000, 12_700, 4_001, 0)
        lines = [
            (crate, self.draw.choice(cents), self.draw.choice(REMARKS))
            for crate in chosen
        ]
        strangers = range(self.draw.randint(0, 2))
        lines += [(f"ZZ-{n}", self.draw.randint(1, 15_000), "") for n in strangers]
        if not lines:
            return
        memo = memo_of(self.book, *lines, dated_on=self.day, received_on=self.day)
        if self.draw.random() < 0.85:
            post_memo(memo=memo, version=memo.version, person=self.book.who.abel, at=AT)

    def decided(self):
        return decided(self.book, "Looked at it.", on=self.day)

    def decide_short(self):
        """Decide one short-paid credit in one of the ways there are."""
        rows = list(ShortCredit.objects.filter(state__in=("open", "disputed")))
        if not rows:
            return
        row = self.draw.choice(rows)
        act = self.draw.choice((accept_short, dispute_short, win_short, give_up_short))
        more = {"cents": self.draw.randint(1, row.amount_cents)}
        act(
            short=row,
            version=row.version,
            decided=self.decided(),
            **(more if act is win_short else {}),
        )

    def decide_held(self):
        """Decide one credit held in suspense in one of the ways there are."""
        rows = list(SuspenseLine.objects.filter(state="open"))
        if not rows:
            return
        row = self.draw.choice(rows)
        act = self.draw.choice(
            (match_credit, match_credit, return_credit, take_by_answer, take_by_reason)
        )
        more = {}
        if act is match_credit:
            more = {"deposit": self.draw.choice(list(Deposit.objects.all()))}
        if act is take_by_answer:
            more = {"answer": WrittenAnswer(self.day, "J. Hale, email")}
        act(line=row, version=row.version, decided=self.decided(), **more)

    def undo_decision(self):
        """Undo the last decision on a short-paid credit."""
        rows = [row for row in ShortCredit.objects.all() if last_decision(row)]
        if rows:
            row = self.draw.choice(rows)
            undo_decision(short=row, version=row.version, decided=self.decided())

    def lose(self):
        """Let the carrier lose a crate on its way home."""
        rows = list(ReturnLine.objects.filter(crate__state="shipped"))
        if rows:
            row = self.draw.choice(rows)
            lose_crate(
                line=row,
                version=row.version,
                lost_on=self.day,
                reason="Not found.",
                person=self.book.who.abel,
                at=AT,
            )

    def undo_memo(self):
        """Reverse a posted memo; now and then enter it again."""
        rows = list(CreditMemo.objects.filter(is_posted=True, reversed_on=None))
        if not rows:
            return
        chosen = self.draw.choice(rows)
        row = reverse_memo(
            memo=chosen,
            version=chosen.version,
            reason="Typed wrong.",
            reversed_on=self.day,
            person=self.book.who.abel,
            at=AT,
        )
        if self.draw.random() < 0.5:
            enter_again(memo=row, person=self.book.who.abel, at=AT)

    def undo_loss(self):
        """Find a lost crate again."""
        rows = list(ReturnLine.objects.filter(crate__state="lost"))
        if rows:
            row = self.draw.choice(rows)
            reverse_loss(
                line=row,
                version=row.version,
                reason="Found.",
                reversed_on=self.day,
                person=self.book.who.abel,
                at=AT,
            )

    def forfeit(self):
        """Forfeit what is open on a crate that stays."""
        rows = list(Deposit.objects.filter(crate__state="complete"))
        if rows:
            forfeit_deposit(
                deposit=self.draw.choice(rows),
                forfeited_on=self.day,
                reason="It stays here.",
                posting_key=f"forfeit-{self.draw.random()}",
                person=self.book.who.abel,
                at=AT,
            )

    def charge(self):
        """Charge a crate nobody matched, or bring one in from older books."""
        if self.draw.random() < 0.5:
            charge(self.book)
            return
        if self.draw.random() < 0.5:
            self.expect_earlier()
            return
        bring_in_opening(
            location=self.book.location,
            supplier=self.book.supplier,
            invoice_number=f"OLD-{self.draw.randint(1, 10**6)}",
            line_number=1,
            invoiced_on=DAY,
            crate_type=self.book.crate_type,
            count=1,
            amount_cents=12_000,
            marks=[],
            opened_on=DAY,
            posting_key=f"opening-{self.draw.random()}",
            person=self.book.who.abel,
            at=AT,
        )

    def expect_earlier(self):
        """Bring in credits that older books expect, of marks that a memo may name."""
        place = self.draw.randint(0, 1)
        bring_in_credits(
            location=self.book.location,
            supplier=self.book.supplier,
            bill_number=f"R-{self.draw.randint(1, 10**6)}",
            shipped_on=DAY,
            reference="",
            crate_type=self.book.crate_type,
            count=1,
            amount_cents=9_000,
            marks=[f"ZZ-{place}"],
            currency="USD",
            opened_on=DAY,
            posting_key=f"earlier-{self.draw.random()}",
            person=self.book.who.abel,
            at=AT,
        )

    def state(self):
        """Enter the supplier's statement of this day."""
        BalanceAssertion.objects.create(
            location=self.book.location,
            supplier=self.book.supplier,
            as_of=self.day,
            stated_cents=self.draw.randint(0, 50_000),
            currency="USD",
            entered_at=making.ARRIVED,
            entered_by=self.book.who.abel,
        )

    def lock(self):
        """Lock the books a month back."""
        lock_period(
            location=self.book.location,
            through=self.day - timedelta(days=30),
            person=self.book.who.abel,
            at=AT + timedelta(days=150),
        )


def posted_memos():
    """Return the memos that are posted."""
    return CreditMemo.objects.filter(is_posted=True)
