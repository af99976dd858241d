"""The posting of a claim, act by act: worked by hand, and under any order of acts.

The treatment is from memory (ASC 410-30, 450-30); the arithmetic stands in each test.
"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from claims.rules.books import kinds
from claims.rules.books.basis import BASES, LineCost, Standing, ceiling_of, loss_of
from claims.rules.books.positions import BookFacts, Receipt
from claims.rules.books.table import TABLE
from tests.claims.shadow_books import ShadowBooks

FILED = BookFacts(
    basis="filing", is_supplier=False, loss_cents=80_000, parts=((0, 100_000),)
)
BESIDE = replace(FILED, basis="register")


def posted(*many):
    """Post these facts one after another; return the books."""
    books = ShadowBooks()
    for facts in many:
        books.post(facts)
    return books


def amounts(entry):
    return entry.kind, entry.amounts


class TestActs:
    def test_filing_books_the_loss_first_then_gross_and_allowance(self):
        books = ShadowBooks()
        loss, filed = books.post(FILED)

        assert amounts(loss) == (
            "claim-loss",
            {"freight-damage-loss": 80_000, "damage-at-cost": -80_000},
        )
        # 1,000.00 claimed, 800.00 lost: 200.00 of labor and margin stay in the allowance.
        assert amounts(filed) == (
            "claim-filed",
            {
                "claims-receivable": 100_000,
                "claims-allowance": -20_000,
                "claim-recoveries": -80_000,
            },
        )

    def test_the_same_facts_again_post_nothing(self):
        books = posted(FILED)

        assert books.post(FILED) == []

    def test_beside_the_books_nothing_but_the_loss_reaches_them(self):
        books = posted(BESIDE)

        assert books.balance("claims-register") == 100_000
        assert books.balance("claims-register-contra") == -100_000
        assert books.balance("claims-receivable", "claim-recoveries") == 0

    def test_a_written_agreement_moves_the_register_into_the_books(self):
        agreed = replace(BESIDE, agreed_cents=60_000, was_agreed=True)
        books = posted(BESIDE, agreed)

        assert books.balance("claims-register", "claims-register-contra") == 0
        assert books.balance("claims-receivable") == 60_000
        assert books.balance("claims-allowance") == 0
        assert books.balance("claim-recoveries") == -60_000

    def test_a_denial_moves_the_amount_and_releases_nothing(self):
        books = posted(FILED, replace(FILED, declined_cents=30_000))

        assert books.balance("claims-receivable") == 70_000
        assert books.balance("disputed-claims") == 30_000
        # What is in dispute is not probable: 1,000 - 300 = 700 may be shown.
        assert books.balance("claim-recoveries") == -70_000

    def test_what_is_paid_above_the_loss_is_a_gain_only_then(self):
        paid = replace(FILED, receipts=(Receipt(1, 95_000, "check"),))
        books = posted(FILED, paid)

        assert books.balance("recovery-gains") == -15_000
        assert books.balance("claims-allowance") == -5_000
        assert books.open_cents == 5_000

    def test_an_overpayment_is_owed_and_the_receivable_stops_at_zero(self):
        receipts = (Receipt(1, 70_000, "check"), Receipt(2, 45_000, "credit"))
        books = posted(FILED, replace(FILED, receipts=receipts))

        assert books.open_cents == 0
        assert books.balance("owed-to-carriers") == -15_000
        assert books.balance("freight-payable") == 45_000

    def test_a_reversed_payment_mirrors_its_entry(self):
        receipts = (Receipt(1, 70_000, "check"), Receipt(2, 45_000, "check"))
        books = posted(
            FILED,
            replace(FILED, receipts=receipts[:1]),
            replace(FILED, receipts=receipts),
        )
        undone, *_ = books.post(replace(FILED, receipts=receipts[1:]))

        assert undone.kind == "reversal"
        assert undone.amounts["claims-cash"] == -70_000
        # The second payment is now set off whole: 1,000 - 450.
        assert books.open_cents == 55_000
        assert books.balance("owed-to-carriers") == 0

    def test_money_marked_as_full_payment_is_owed_until_decided(self):
        waits = replace(FILED, receipts=(Receipt(1, 20_000, "transfer", waits=True),))
        books = posted(FILED, waits)

        assert books.open_cents == 100_000
        assert books.balance("owed-to-carriers") == -20_000
        (counted,) = books.post(
            replace(FILED, receipts=(Receipt(1, 20_000, "transfer"),))
        )
        assert books.open_cents == 80_000
        # It came as money, so the month's roll-forward shows it as cash: 200.00.
        assert counted.kind == "claim-paid"
        assert counted.amounts["claims-receivable"] == -20_000

    def test_what_was_overpaid_is_cash_when_a_supplement_takes_it(self):
        paid = replace(FILED, receipts=(Receipt(1, 110_000, "check"),))
        books = posted(FILED, paid)
        assert books.balance("owed-to-carriers") == -10_000
        more = replace(paid, parts=((0, 100_000), (1, 15_000)))
        supplement, taken = books.post(more)

        # 1,000 + 150 claimed, 1,100 paid: 100 owed until now counts, 50 stay open.
        assert supplement.kind == "claim-supplement"
        assert (taken.kind, taken.amounts["claims-receivable"]) == (
            "claim-paid",
            -10_000,
        )
        assert (books.open_cents, books.balance("owed-to-carriers")) == (5_000, 0)
        assert books.balance("owed-to-carriers") == 0

    def test_our_decision_writes_off_and_reopening_reverses_it(self):
        books = posted(FILED, replace(FILED, end=kinds.NOT_PURSUED))

        assert books.open_cents == 0
        # 800.00 was shown as recovered; 200.00 was in the allowance.
        assert books.balance("claims-written-off") == 80_000
        assert books.balance("claims-allowance") == 0
        made = books.post(FILED)
        assert made[0].kind == "reversal"
        assert books.open_cents == 100_000
        assert books.balance("claims-written-off") == 0

    def test_salvage_kept_comes_off_the_claim(self):
        books = posted(FILED, replace(FILED, salvage_cents=15_000))

        assert books.open_cents == 85_000
        assert books.balance("salvage-kept") == 15_000

    def test_a_later_supplement_and_a_changed_line_are_their_own_entries(self):
        more = replace(FILED, parts=((0, 100_000), (1, 5_000)))
        books = posted(FILED)

        assert [one.kind for one in books.post(more)] == ["claim-supplement"]
        less = replace(FILED, parts=((0, 90_000), (1, 5_000)))
        assert [one.kind for one in books.post(less)] == ["claim-struck"]
        assert books.open_cents == 95_000

    def test_a_suppliers_claim_stands_on_the_suppliers_line(self):
        books = posted(replace(FILED, is_supplier=True))

        assert books.balance("supplier-claims") == 100_000
        assert books.balance("claims-receivable") == 0

    def test_an_unsent_claim_is_not_in_the_books(self):
        assert posted(replace(FILED, parts=())).entries == []


class TestCeiling:
    @pytest.mark.parametrize(
        ("standing", "most"),
        [
            (Standing("register", 800, 1_000), 0),
            (Standing("register", 800, 1_000, agreed_cents=700), 700),
            (Standing("register", 800, 1_000, agreed_cents=900), 800),
            (Standing("filing", 800, 1_000), 800),
            (Standing("filing", 800, 1_000, declined_cents=300), 700),
            (Standing("probable", 800, 1_000), 0),
            (Standing("probable", 800, 1_000, probable_cents=400), 400),
            (Standing("probable", 800, 1_000, 700, probable_cents=400), 300),
        ],
    )
    def test_never_above_the_loss_and_never_what_is_in_dispute(self, standing, most):
        assert ceiling_of(standing) == most

    @pytest.mark.parametrize(
        ("line", "cents"),
        [
            # Parts 350.00 and 2 h at our own 42.00: 434.00 of 600.00 claimed.
            (LineCost(True, 60_000, 0, 35_000, 120, 4_200), 43_400),
            (LineCost(True, 60_000, 0, 35_000, 120), 35_000),
            (LineCost(False, 90_000, 100_000, salvage_cents=25_000), 75_000),
            (LineCost(False, 60_000, 100_000, salvage_cents=25_000), 60_000),
        ],
    )
    def test_the_loss_is_at_cost(self, line, cents):
        assert loss_of(line) == cents


SMALL = st.integers(1, 900)


@st.composite
def stories(draw):
    """Draw what happens to one claim, one fact at a time."""
    facts = BookFacts(
        basis=draw(st.sampled_from(sorted(BASES))),
        is_supplier=draw(st.booleans()),
        loss_cents=draw(st.integers(0, 700)),
        parts=((0, draw(SMALL)),),
    )
    told = [facts]
    for number in range(1, draw(st.integers(2, 9))):
        facts = draw(st.sampled_from(_STEPS))(draw, facts, number)
        told.append(facts)
    return told


def _supplement(draw, facts, number):
    return replace(facts, parts=(*facts.parts, (number, draw(SMALL))))


def _strike(draw, facts, _):
    first = (0, draw(st.integers(0, facts.parts[0][1])))
    return replace(facts, parts=(first, *facts.parts[1:]))


def _pay(draw, facts, number):
    way = draw(st.sampled_from(["check", "credit"]))
    one = Receipt(number, draw(SMALL), way, waits=draw(st.booleans()))
    return replace(facts, receipts=(*facts.receipts, one))


def _reverse(draw, facts, _):
    if not facts.receipts:
        return facts
    gone = draw(st.sampled_from(facts.receipts))
    return replace(facts, receipts=tuple(one for one in facts.receipts if one != gone))


def _decline(draw, facts, _):
    return replace(facts, declined_cents=draw(SMALL), agreed_cents=None)


def _agree(draw, facts, _):
    agreed = draw(SMALL)
    return replace(facts, agreed_cents=agreed, was_agreed=True, declined_cents=0)


def _likely(draw, facts, _):
    return replace(facts, probable_cents=draw(SMALL))


def _sell(draw, facts, _):
    return replace(facts, salvage_cents=facts.salvage_cents + draw(SMALL))


def _end(draw, facts, _):
    ends = ["", kinds.SETTLED, kinds.NOT_PURSUED, kinds.WITHDRAWN]
    return replace(facts, end=draw(st.sampled_from(ends)))


_STEPS = [
    _supplement,
    _strike,
    _pay,
    _reverse,
    _decline,
    _agree,
    _likely,
    _sell,
    _end,
]


def listed(facts):
    """Return what a list of open claims shows: figured without any slot."""
    if facts.end:
        return 0
    owed = sum(cents for _, cents in facts.parts)
    if facts.agreed_cents is not None:
        owed = min(owed, facts.agreed_cents)
    came = sum(one.cents for one in facts.receipts if not one.waits)
    return max(owed - came - facts.salvage_cents, 0)


@pytest.mark.slow
@given(told=stories())
def test_under_any_order_of_acts_the_books_hold(told):
    books = ShadowBooks()
    for facts in told:
        for one in books.post(facts):
            lines = one.amounts.values()
            assert sum(lines) == 0
            assert len(lines) >= 2
            assert all(lines)
        totals = books.held().totals
        assert all(totals.get(kind, 0) >= 0 for kind in kinds.GROSS), totals
        assert totals.get(kinds.OWED, 0) <= 0
        assert books.open_cents == listed(facts)
        assert books.post(facts) == []
        shown = -(totals.get(kinds.RECOVERED, 0))
        assert shown <= facts.loss_cents
        paid = sum(one.cents for one in facts.receipts) + facts.salvage_cents
        assert -totals.get(kinds.GAINS, 0) <= max(paid - facts.loss_cents, 0)
        if facts.is_booked:
            assert not totals.get(kinds.REGISTER), "it stays beside the books"


@pytest.mark.slow
@given(told=stories())
def test_every_entry_has_the_sides_of_its_row_in_the_table(told):
    books = ShadowBooks()
    value = set(kinds.VALUE)
    for facts in told:
        for one in books.post(facts):
            if one.reverses:
                continue
            row = TABLE[one.kind]
            allowed = row.debit | row.credit | value | {kinds.OWED}
            assert set(one.amounts) <= allowed, one


def test_every_kind_of_entry_has_its_row():
    assert set(TABLE) == set(kinds.ENTRY_KINDS)
    assert all(row.source and row.why and row.counter for row in TABLE.values())
