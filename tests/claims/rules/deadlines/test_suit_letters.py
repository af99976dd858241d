"""What the carrier's letters say about the clock of a suit, regime by regime.

Each row stands beside its source. 49 U.S.C. 14706(e)(2)(A) and 11706(e)(2)(A): "an
offer of compromise shall not constitute a disallowance of any part of the claim unless
the carrier, in writing, informs the claimant that such part of the claim is disallowed
and provides reasons for such disallowance". CMR Art 32(2): "A written claim shall
suspend the period of limitation until such date as the carrier rejects the claim by
notification in writing and returns the documents attached thereto. If a part of the
claim is admitted the period of limitation shall start to run again only in respect of
that part of the claim still in dispute." CIM Art 48(3), COGSA sec. 3(6), Montreal Art
35 and Hague-Visby Art III r.6 are from memory.
"""

import datetime as dt

import pytest

from claims.rules.deadlines.counting import deadlines_for
from claims.rules.deadlines.facts import Facts, Letter, Term
from claims.rules.deadlines.suit_letters import NOTES, clock_of
from claims.rules.regimes import REGIMES

D = dt.date
DELIVERED = {"delivered_on": D(2026, 1, 12), "arrived_on": D(2026, 1, 12)}
CLAIMED = {**DELIVERED, "claim_received_on": D(2026, 2, 2), "as_of": D(2026, 8, 3)}
LETTERS = (
    Letter(D(2026, 3, 2), "offer"),
    Letter(D(2026, 4, 1), "offer-and-decline"),
    Letter(D(2026, 5, 4), "disallowed"),
    Letter(D(2026, 6, 1), "disallowed"),
    Letter(D(2026, 7, 1), "paid"),
)
REPEAT = "The refusal of Mon 1 Jun 2026 is a repeat: it restarts nothing."
STARTED = (
    "The offer of Mon 2 Mar 2026 is no disallowance: it starts no clock.",
    "The letter of Wed 1 Apr 2026 both offers and declines. Whether it starts the "
    "clock is disputed, so the safe date counts from it.",
    REPEAT,
)
STOPPED = (
    "The offer of Mon 2 Mar 2026 is no written refusal: it restarts no clock.",
    "The letter of Wed 1 Apr 2026 both offers and declines. It may have restarted the "
    "clock for the part in dispute.",
    REPEAT,
)
DEAF = (
    "The clock runs from {}, whatever the carrier answers: its letters neither start "
)
DEAF += "nor stop it."
ONLY_A_CLAIM = (
    "The carrier's letters change nothing here: only a written claim in time stops "
    "this clock."
)


def said(regime, letters=LETTERS, terms=None, **facts):
    """Return the notes on the suit that speak of a letter of the carrier."""
    facts = {**CLAIMED, "terms": terms or {}, **facts}
    found = deadlines_for(Facts(regime, letters=letters, **facts))
    suit = next(each for each in found if each.duty == "suit")
    marks = ("The offer of", "The refusal of", "The letter of", "letters")
    return tuple(
        note
        for note in suit.notes
        if any(mark in note for mark in marks) and "; counted from it" not in note
    )


OWN = {"suit": Term(count=2, unit="years")}


@pytest.mark.parametrize(
    ("regime", "terms", "notes"),
    [
        ("us-motor", None, STARTED),  # 49 U.S.C. 14706(e)(2)(A)
        ("us-motor-older", None, STARTED),  # 49 U.S.C. 14706(e)(2)(A)
        ("us-rail", None, STARTED),  # 49 U.S.C. 11706(e)(2)(A)
        ("us-intrastate", OWN, STARTED),  # the bill's own words, U.C.C. 7-309(c)
        ("parcel", OWN, STARTED),  # the carrier's terms; no source beyond them
        ("cmr", None, STOPPED),  # CMR Art 32(2)
        ("cim", None, STOPPED),  # CIM Art 48(3)
        ("montreal", None, (DEAF.format("arrival"),)),  # Montreal Art 35(1)
        ("cogsa", None, (DEAF.format("delivery"),)),  # COGSA sec. 3(6)
        ("hague-visby", None, (DEAF.format("delivery"),)),  # Hague-Visby Art III r.6
    ],
)
def test_each_regime_says_what_the_letters_do_to_its_own_clock(regime, terms, notes):
    assert said(regime, terms=terms) == notes


def test_of_a_province_nothing_is_said_for_its_limitation_act_is_not_known():
    facts = {"discovered_on": D(2026, 1, 13)}
    terms = {"suit": Term(count=2, unit="years", starts="discovery")}
    assert said("canada-road", terms=terms, **facts) == ()


@pytest.mark.parametrize("regime", ["us-motor", "montreal"])
def test_a_period_of_the_contract_from_another_day_says_nothing(regime):
    terms = {"suit": Term(count=2, unit="years", starts="delivery")}
    assert said(regime, terms=terms) == ()


@pytest.mark.parametrize("regime", ["cmr", "cim"])
@pytest.mark.parametrize("claimed", [None, D(2027, 1, 13)])
def test_where_no_claim_stopped_it_letters_change_nothing(regime, claimed):
    # The year from 12 January 2026 ends on 12 January 2027.
    facts = {"claim_received_on": claimed, "as_of": D(2027, 2, 1)}
    assert said(regime, **facts) == (ONLY_A_CLAIM,)


@pytest.mark.parametrize("regime", ["cmr", "cim"])
def test_one_letter_of_two_minds_has_one_note(regime):
    assert said(regime, LETTERS[1:2]) == STOPPED[1:2]


@pytest.mark.parametrize(
    ("offered", "count"),
    [
        (D(2026, 2, 1), 0),  # before the claim: the clock runs, it stops nothing
        (D(2026, 2, 2), 1),
        (D(2026, 5, 3), 1),
        (D(2026, 5, 4), 0),  # after the refusal the clock runs again
    ],
)
def test_an_offer_is_pointed_out_while_a_claim_stops_the_clock(offered, count):
    letters = (Letter(offered, "offer"), LETTERS[2])
    assert len(said("cmr", letters)) == count


def test_a_second_letter_of_two_minds_moves_no_safe_date_and_says_nothing():
    second = Letter(D(2026, 4, 20), "offer-and-decline")
    assert said("us-motor", (LETTERS[1], second)) == STARTED[1:2]


@pytest.mark.parametrize("regime", ["us-motor", "cmr", "cogsa"])
def test_a_plain_refusal_or_payment_needs_no_note(regime):
    assert said(regime, (LETTERS[2], LETTERS[4])) == ()


def test_every_regime_that_dates_a_suit_has_its_clock_in_the_table():
    clocks = {row.clock for row in NOTES}
    for regime in REGIMES.values():
        for record in regime.records:
            if record.duty == "suit" and record.count is not None:
                stops = {clock_of(record, is_stopped=yes) for yes in (True, False)}
                assert stops <= clocks, record.key
    assert all(row.authority for row in NOTES)
