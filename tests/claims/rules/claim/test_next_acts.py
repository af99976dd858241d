"""What is ours to do on an open claim. The acts are our own choice, no source."""

from datetime import date

import pytest

from claims.rules.claim import life
from claims.rules.claim.next_acts import OpenClaim, awaits, first_of, next_acts
from claims.rules.letters.due import DueLetter

TODAY = date(2026, 11, 26)
SOON = date(2026, 12, 4)
BEFORE = date(2026, 11, 16)
LETTER = DueLetter("reminder", BEFORE, "Write the reminder: no acknowledgment")
CLOSE = ("settle", "Close the claim as settled", TODAY)
LATE = DueLetter("tracer", BEFORE, "Write the tracer: no proof", is_late=True)


def told(state, **over):
    facts = OpenClaim(state=state, today=TODAY, claimed_cents=60_000, **over)
    return [(one.act, one.label, one.why, one.day) for one in next_acts(facts)]


@pytest.mark.parametrize(
    ("state", "over", "act"),
    [
        ("drafted", {}, ("send", "Send the claim", TODAY)),
        (
            "withdrawing",
            {},
            ("tell-withdrawal", "Send the withdrawal letter", TODAY),
        ),
        (
            "drafted",
            {"is_suppliers": True, "missing_papers": 2},
            ("hand-over", "Hand the claim to the supplier", TODAY),
        ),
        ("received", {"letter": LETTER}, ("letter", "Write the reminder", TODAY)),
        ("sent", {"letter": LATE}, ("letter", "Write the tracer", BEFORE)),
        (
            "offered",
            {"offer_words": "$980.00", "offered_on": BEFORE, "offer_by": SOON},
            ("accept", "Answer the offer of $980.00", SOON),
        ),
        (
            "offered",
            {"offer_words": "$980.00", "offered_on": BEFORE},
            ("accept", "Answer the offer of $980.00", TODAY),
        ),
        (
            "acknowledged",
            {"asked_on": BEFORE, "asked_by": SOON},
            ("supply-papers", "Supply the documents that the carrier asked for", SOON),
        ),
        (
            "disallowed",
            {"declined_on": BEFORE},
            ("letter", "Answer the written denial", TODAY),
        ),
        ("acknowledged", {"paid_cents": 60_000}, CLOSE),
        ("accepted", {"paid_cents": 50, "agreed_cents": 50}, CLOSE),
        (
            "received",
            {"held": ((7, "Check 40118", None),)},
            ("decide-payment", "Decide on a payment marked as full", TODAY),
        ),
    ],
)
def test_each_thing_that_is_ours_to_do(state, over, act):
    [(key, label, _, on)] = told(state, **over)

    assert (key, label, on) == act


@pytest.mark.parametrize(
    ("state", "over"),
    [
        ("drafted", {"missing_papers": 2}),
        ("drafted", {"claimed_cents": 0}),
        ("sent", {}),
        ("received", {}),
        ("countered", {"offered_on": BEFORE}),
        ("accepted", {"agreed_cents": 50_000}),
        ("disallowed", {"declined_on": BEFORE, "replied_on": TODAY}),
        ("acknowledged", {"declined_on": BEFORE}),
    ],
)
def test_where_somebody_else_is_first_nothing_is_ours(state, over):
    assert next_acts(OpenClaim(**{"state": state, "today": TODAY, **over})) == []


def test_a_payment_that_waits_goes_before_closing_and_beside_an_offer():
    held = ((7, "Check 40118", None),)

    acts = told(
        "offered", paid_cents=60_000, held=held, offered_on=BEFORE, offer_words="$1"
    )

    assert [act for act, *_ in acts] == ["decide-payment", "accept"]


def test_the_first_act_is_that_with_the_earliest_day():
    facts = OpenClaim(
        state="offered",
        today=TODAY,
        asked_on=BEFORE,
        asked_by=SOON,
        offered_on=BEFORE,
        offer_words="$980.00",
    )

    first = first_of(next_acts(facts))

    assert first.by(TODAY) == "Answer the offer of $980.00 today"
    assert first_of(next_acts(facts)[:1]).by(TODAY).endswith("by Fri 4 Dec")
    assert first.by(date(2026, 11, 27)) == "Answer the offer of $980.00, 1 day late"


def test_every_open_state_but_withdrawing_waits_for_a_deadline():
    duties = ("claim", "acknowledgement", "disposition", "status-2", "suit")
    waiting = {
        state for state in life.LIFE.live if any(awaits(state, one) for one in duties)
    }

    assert waiting == life.LIFE.live - {life.WITHDRAWING}
    assert not awaits(life.RECEIVED, "supplier-damage")
