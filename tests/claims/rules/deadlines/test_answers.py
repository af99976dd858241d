"""What the carrier's letters and a pending claim do to the clocks."""

import datetime as dt

import pytest

from claims.rules.deadlines.counting import deadlines_for
from claims.rules.deadlines.facts import Facts, Letter, Term

D = dt.date


def of(duty, regime="us-motor", **facts):
    """Return the one deadline of that duty, or None."""
    found = [x for x in deadlines_for(Facts(regime, **facts)) if x.duty == duty]
    assert len(found) <= 1
    return found[0] if found else None


def duties(**facts):
    return [each.duty for each in deadlines_for(Facts("us-motor", **facts))]


def test_status_reports_repeat_past_the_day_asked():
    facts = {"claim_received_on": D(2026, 1, 15), "as_of": D(2026, 12, 1)}
    found = [each for each in duties(**facts) if each.startswith("status")]
    assert found == ["status-1", "status-2", "status-3", "status-4"]


def test_status_reports_are_never_endless():
    facts = {"claim_received_on": D(1900, 1, 15), "as_of": D(2200, 1, 1)}
    assert len([x for x in duties(**facts) if x.startswith("status")]) == 60


@pytest.mark.parametrize("kind", ["disallowed", "offer", "paid"])
def test_no_report_is_due_after_an_answer(kind):
    letter = Letter(on=D(2026, 6, 1), kind=kind)
    found = duties(claim_received_on=D(2026, 1, 15), letters=(letter,))
    assert not [each for each in found if each.startswith("status")]


@pytest.mark.parametrize(
    ("on", "standing"),
    [
        (D(2026, 5, 14), "met"),
        (D(2026, 5, 15), "met"),
        (D(2026, 5, 16), "running"),
    ],
)
def test_an_answer_meets_the_disposition_only_in_time(on, standing):
    facts = {"claim_received_on": D(2026, 1, 15), "disallowed_on": on}
    assert of("disposition", **facts).standing == standing


@pytest.mark.parametrize(
    ("kind", "standing"),
    [("disallowed", "met"), ("paid", "met"), ("offer", "running")],
)
def test_only_payment_or_refusal_spares_the_acknowledgement(kind, standing):
    letters = (Letter(on=D(2026, 2, 1), kind=kind),)
    facts = {"claim_received_on": D(2026, 1, 15), "letters": letters}
    assert of("acknowledgement", **facts).standing == standing


def test_an_offer_is_no_disallowance():
    letters = (Letter(on=D(2026, 2, 1), kind="offer"),)
    assert of("suit", letters=letters) is None


def test_the_first_disallowance_counts_and_a_repeat_restarts_nothing():
    letters = tuple(Letter(on=D(2026, n, 10), kind="disallowed") for n in (5, 3))
    suit = of("suit", letters=letters)
    assert (suit.starts_on, suit.due) == (D(2026, 3, 10), D(2028, 3, 10))
    assert (
        "The refusal of Sun 10 May 2026 is a repeat: it restarts nothing." in suit.notes
    )


def test_a_letter_of_two_minds_starts_a_disputed_clock():
    letters = (Letter(on=D(2026, 3, 10), kind="offer-and-decline"),)
    suit = of("suit", letters=letters)
    assert (suit.due, suit.standing) == (D(2028, 3, 10), "disputed")


def test_a_letter_of_two_minds_before_a_refusal_moves_only_the_safe_day():
    letters = (Letter(on=D(2026, 3, 10), kind="offer-and-decline"),)
    suit = of("suit", letters=letters, disallowed_on=D(2026, 5, 11))
    assert (suit.due, suit.safe) == (D(2028, 5, 11), D(2028, 3, 10))
    assert suit.standing == "disputed"


def test_a_letter_of_two_minds_after_a_refusal_changes_nothing():
    letters = (Letter(on=D(2026, 5, 11), kind="offer-and-decline"),)
    suit = of("suit", letters=letters, disallowed_on=D(2026, 3, 10))
    assert (suit.due, suit.safe, suit.standing) == (
        D(2028, 3, 10),
        D(2028, 3, 10),
        "running",
    )


CLAIMED = {"delivered_on": D(2026, 1, 12), "claim_received_on": D(2026, 3, 2)}


@pytest.mark.parametrize("regime", ["cmr", "cim"])
def test_a_written_claim_suspends_until_the_refusal(regime):
    suit = of("suit", regime, disallowed_on=D(2026, 4, 2), **CLAIMED)
    assert (suit.due, suit.standing) == (D(2027, 2, 12), "running")


def test_it_stays_suspended_until_the_documents_come_back():
    returned = {"disallowed_on": D(2026, 4, 2), "documents_returned_on": D(2026, 4, 12)}
    assert of("suit", "cmr", **returned, **CLAIMED).due == D(2027, 2, 22)


def test_while_the_claim_pends_the_safe_day_relies_on_nothing():
    suit = of("suit", "cmr", as_of=D(2026, 6, 2), **CLAIMED)
    assert (suit.due, suit.safe) == (D(2027, 4, 14), D(2027, 1, 12))
    assert suit.standing == "suspended"


@pytest.mark.parametrize(
    ("claimed", "due"),
    [
        (D(2027, 1, 11), D(2027, 1, 16)),
        (D(2027, 1, 12), D(2027, 1, 15)),
        (D(2027, 1, 13), D(2027, 1, 12)),
    ],
)
def test_only_a_claim_within_the_year_suspends(claimed, due):
    facts = {"delivered_on": D(2026, 1, 12), "claim_received_on": claimed}
    assert of("suit", "cmr", disallowed_on=D(2027, 1, 15), **facts).due == due


def test_a_partial_refusal_may_set_a_suspended_clock_going():
    letters = (Letter(on=D(2026, 4, 2), kind="offer-and-decline"),)
    suit = of("suit", "cmr", as_of=D(2026, 6, 2), letters=letters, **CLAIMED)
    assert (suit.due, suit.safe) == (D(2027, 4, 14), D(2027, 2, 12))
    assert suit.standing == "disputed"


def test_no_other_regime_suspends():
    suit = of("suit", "montreal", disallowed_on=D(2026, 4, 2), **CLAIMED)
    assert suit.due == D(2028, 1, 12)


def test_a_duty_that_was_answered_says_when():
    facts = {
        "claim_received_on": D(2026, 1, 15),
        "letters": (Letter(D(2026, 2, 2), "offer"),),
        "delivered_on": D(2026, 1, 5),
    }
    says = "Answered in writing on Mon 2 Feb 2026."
    assert says in of("disposition", **facts).notes
    assert says not in of("claim", **facts).notes


def test_a_claim_received_today_adds_no_day_yet():
    def steps(as_of):
        facts = {
            "delivered_on": D(2026, 1, 5),
            "claim_received_on": D(2026, 2, 2),
            "as_of": as_of,
        }
        return " ".join(of("suit", "cmr", **facts).counted)

    assert "would be added" not in steps(D(2026, 2, 2))
    assert "would be added" not in steps(None)
    assert "1 days would be added" in steps(D(2026, 2, 3))


def test_a_payment_on_the_day_of_the_claim_spares_the_acknowledgement():
    day = D(2026, 1, 15)
    facts = {"claim_received_on": day, "letters": (Letter(day, "paid"),)}
    assert of("acknowledgement", **facts).standing == "met"


def test_an_answer_given_too_late_is_not_told_as_the_answer():
    facts = {"claim_received_on": D(2026, 1, 15), "disallowed_on": D(2026, 5, 16)}
    notes = " ".join(of("disposition", **facts).notes)
    assert "Answered in writing" not in notes


@pytest.mark.parametrize(
    ("as_of", "reports"),
    # 49 CFR 370.9(b): every 60 days after the 120 given for an answer.
    # 15 January + 120 days is 15 May; then 14 July, 12 September, 11 November 2026.
    [(D(2026, 9, 12), 2), (D(2026, 9, 13), 3)],
)
def test_a_report_is_the_next_one_until_its_day_is_over(as_of, reports):
    found = duties(claim_received_on=D(2026, 1, 15), as_of=as_of)
    assert len([each for each in found if each.startswith("status")]) == reports


def test_each_letter_says_what_it_does_to_the_clock_of_a_suit():
    letters = (
        Letter(D(2026, 3, 2), "offer"),
        Letter(D(2026, 4, 1), "offer-and-decline"),
        Letter(D(2026, 5, 4), "disallowed"),
        Letter(D(2026, 6, 1), "offer-and-decline"),
    )
    notes = of("suit", letters=letters).notes
    assert (
        "The offer of Mon 2 Mar 2026 is no disallowance: it starts no clock." in notes
    )
    two_minds = [note for note in notes if "both offers and declines. " in note]
    assert len(two_minds) == 1  # after the refusal nothing is in dispute
    assert two_minds[0].startswith("The letter of Wed 1 Apr 2026 ")


def test_while_the_claim_pends_a_letter_of_two_minds_is_pointed_out():
    letters = (Letter(on=D(2026, 4, 2), kind="offer-and-decline"),)
    suit = of("suit", "cmr", as_of=D(2026, 6, 2), letters=letters, **CLAIMED)
    # CMR Art 32(2): a partial admission restarts it only for what stays in dispute.
    assert (
        "The letter of Thu 2 Apr 2026 both offers and declines. It may have restarted "
        "the clock for the part in dispute."
    ) in suit.notes


def test_a_term_of_no_days_calls_for_no_reports():
    terms = {"status": Term(count=0, unit="days")}
    found = duties(claim_received_on=D(2026, 1, 15), terms=terms)
    assert not [each for each in found if each.startswith("status")]
