"""The carrier deadlines of one delivery: which are wanted, which are met, to send when.

The days themselves are checked in ``test_counting.py`` and against outside values.
"""

import datetime as dt
from dataclasses import replace

import pytest

from claims.rules.deadlines.carrier_duties import (
    DeliveryFacts,
    MetFacts,
    carrier_duties,
)
from claims.rules.deadlines.counted_duty import BROKER_NOTE
from claims.rules.deadlines.facts import Facts, Letter, Term

D = dt.date
BASE = Facts("us-motor", bill_on=D(2026, 11, 10), delivered_on=D(2026, 11, 20))
WHOLE = DeliveryFacts(
    BASE, ("damage",), has_hidden=True, has_apparent=True, is_claimed=True
)
CLAIMED = replace(BASE, claim_received_on=D(2026, 12, 1), as_of=D(2027, 6, 1))


def duties(facts=WHOLE, **met):
    return {one.duty: one for one in carrier_duties(facts, MetFacts(**met))}


def of(base=BASE, **over):
    return replace(WHOLE, base=base, **over)


@pytest.mark.parametrize(
    ("over", "wanted"),
    [
        ({}, {"apparent-notice", "concealed-notice", "claim"}),
        ({"has_hidden": False}, {"apparent-notice", "claim"}),
        ({"has_apparent": False}, {"concealed-notice", "claim"}),
        (
            {"losses": (), "has_apparent": False, "is_claimed": False},
            {"concealed-notice"},
        ),
        (
            {"losses": (), "has_apparent": False, "has_hidden": False},
            {"claim"},
        ),
        (
            {
                "losses": (),
                "has_apparent": False,
                "has_hidden": False,
                "is_claimed": False,
            },
            set(),
        ),
        (
            {"losses": ("shortage",), "has_hidden": False, "has_apparent": False},
            {"claim"},
        ),
        (
            {"losses": ("shortage",), "has_apparent": False},
            {"claim", "concealed-notice"},
        ),
        ({"losses": ("delay",), "has_hidden": False, "has_apparent": False}, {"claim"}),
    ],
)
def test_a_duty_is_wanted_where_its_loss_is(over, wanted):
    assert set(duties(of(**over))) == wanted


def test_a_notice_of_delay_is_not_kept_by_truck():
    found = duties(of(replace(BASE, regime="cmr"), losses=("delay",)))
    assert "suit" in found
    assert "delay-notice" not in found


def test_of_two_losses_the_earlier_safe_day_counts():
    # Nine months from delivery, or from the bill's date for what never came.
    for losses, due in (
        (("damage",), D(2027, 8, 20)),
        (("damage", "shortage"), D(2027, 8, 10)),
        (("shortage", "damage"), D(2027, 8, 10)),
    ):
        assert duties(of(losses=losses))["claim"].due == due
    # Where both have the same day, the reason is that of the first.
    same = duties(
        of(replace(BASE, bill_on=BASE.delivered_on), losses=("damage", "shortage"))
    )
    assert same["claim"].record_key == "us-motor/claim-damage"
    # CMR Art 30: seven days for hidden damage, none for what could be seen.
    cmr = replace(BASE, regime="cmr")
    hidden = duties(of(cmr, has_apparent=False))["concealed-notice"]
    assert hidden.due == D(2026, 11, 28)


def test_they_come_in_the_order_of_their_days():
    found = carrier_duties(of(CLAIMED), MetFacts())
    assert [one.due for one in found] == sorted(one.due for one in found)


def test_a_later_status_report_is_there_once_its_time_has_begun():
    def reports(as_of):
        base = replace(CLAIMED, as_of=as_of)
        return [duty for duty in duties(of(base)) if duty.startswith("status")]

    assert reports(None) == ["status-1"]
    assert reports(D(2027, 5, 29)) == ["status-1"]
    assert reports(D(2027, 5, 30)) == ["status-1", "status-2"]


@pytest.mark.parametrize(
    ("met", "done"),
    [
        ({"on_receipt": D(2026, 11, 20)}, {"apparent-notice"}),
        ({"notice_received_on": D(2026, 11, 20)}, {"apparent-notice"}),
        ({"concealed_received_on": D(2026, 11, 20)}, {"concealed-notice"}),
        ({"claim_received_on": D(2026, 11, 20)}, {"claim"}),
        ({"acknowledged_on": D(2026, 11, 20)}, {"acknowledgement"}),
        (
            {"answered_on": D(2026, 11, 20)},
            {"acknowledgement", "disposition", "status-1", "status-2"},
        ),
        ({"closed_on": D(2026, 11, 20)}, {"suit"}),
    ],
)
def test_a_duty_is_met_by_its_own_proof(met, done):
    base = replace(CLAIMED, letters=(Letter(D(2027, 1, 5), "disallowed"),))
    found = duties(of(base), **met)
    assert {duty for duty, one in found.items() if one.met_on} == done & set(found)
    assert {one.met_on for one in found.values()} == {None, D(2026, 11, 20)}


def test_an_answer_ends_the_status_reports():
    found = duties(of(CLAIMED), answered_on=D(2027, 4, 1))
    assert found["status-1"].met_on == found["status-2"].met_on == D(2027, 4, 1)


def test_the_earlier_of_two_proofs_counts():
    early, late = D(2026, 12, 2), D(2026, 12, 9)
    found = duties(of(CLAIMED), acknowledged_on=late, answered_on=early)
    assert found["acknowledgement"].met_on == early
    found = duties(on_receipt=late, notice_received_on=early)
    assert found["apparent-notice"].met_on == early


def test_ours_is_sent_before_the_safe_day_and_the_carriers_is_not():
    found = duties(of(CLAIMED, mail_days=5))
    claim, answer = found["claim"], found["disposition"]
    assert (claim.safe, claim.send_by) == (D(2027, 8, 20), D(2027, 8, 13))
    assert answer.send_by == answer.safe == D(2027, 3, 31)
    # Never before the clock's own start: then it means at once.
    notice = found["concealed-notice"]
    assert (notice.safe, notice.send_by) == (D(2026, 11, 27), D(2026, 11, 20))


def test_a_broker_is_warned_of_on_our_duties_alone():
    found = duties(of(CLAIMED, is_broker=True))
    assert found["claim"].notes[0] == BROKER_NOTE
    assert BROKER_NOTE not in found["disposition"].notes
    assert BROKER_NOTE not in duties(of(CLAIMED))["claim"].notes


@pytest.mark.parametrize(
    ("regime", "letters", "standing"),
    [
        ("cmr", (), "suspended"),
        ("us-motor", (Letter(D(2027, 1, 5), "offer-and-decline"),), "disputed"),
        ("us-motor", (Letter(D(2027, 1, 5), "disallowed"),), ""),
    ],
)
def test_a_suspended_or_disputed_deadline_says_so_first(regime, letters, standing):
    base = replace(CLAIMED, regime=regime, letters=letters)
    first = duties(of(base))["suit"].notes[:1]
    says = f"This deadline is {standing}."
    assert (first == (says,)) is bool(standing)


def test_what_is_of_the_claim_does_not_belong_to_one_truck():
    letter = replace(CLAIMED, letters=(Letter(D(2027, 1, 5), "disallowed"),))
    found = duties(of(letter))
    of_claim = {duty for duty, one in found.items() if one.is_of_claim}
    assert of_claim == {"acknowledgement", "disposition", "suit"}
    assert duties(of(CLAIMED))["status-1"].is_of_claim
    cmr = duties(of(replace(BASE, regime="cmr")))
    assert not cmr["suit"].is_of_claim


def test_the_effect_is_a_sentence():
    assert duties()["claim"].effect == "The claim is barred."


def test_it_tells_what_it_was_counted_from():
    base = replace(
        CLAIMED,
        letters=(Letter(D(2027, 1, 5), "offer"),),
        calendar="US",
        is_contract_carriage=False,
        terms={"claim": Term(10, "months", "delivery")},
    )
    found = duties(of(base, losses=("damage", "shortage")))["claim"]
    assert found.inputs == {
        "regime": "us-motor",
        "losses": "damage, shortage",
        "bill": "2026-11-10",
        "delivered": "2026-11-20",
        "claim received by carrier": "2026-12-01",
        "calendar": "US",
        "contract carriage": "no",
        "days for the mail": "5",
        "letter 2027-01-05": "offer",
        "term for claim": "10 months from delivery",
    }
    assert (
        "contract carriage",
        "yes",
    ) in duties(of(replace(BASE, is_contract_carriage=True)))["claim"].inputs.items()
