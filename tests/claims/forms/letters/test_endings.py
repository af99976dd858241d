"""Forms of the letters that end, move or certify: what was typed, and what is wrong."""

from datetime import timedelta

import pytest

from claims.forms.letters.claim_letter_forms import form_for
from claims.rules.letters.salvage import AccountChoices, OfferChoices
from claims.rules.letters.technician import StatementChoices, draft_of
from tests.claims.rules.letters.ending_claims import claim_of

FACTS = claim_of(1)
HERE = [line.number for line in FACTS.lines if line.outcome != "short"]
SHORT = [line.number for line in FACTS.lines if line.outcome == "short"]
SOON = FACTS.today + timedelta(days=21)
OFFER = {"lines": HERE, "held_at": "Bay 4", "answer_by": SOON.isoformat()}
ACCOUNT = {
    "lines": HERE[:1],
    "lot": "LOT-7",
    "how": "bids",
    "buyer": "Orrin Salvage",
    "sold_on": FACTS.today.isoformat(),
    "proceeds": "1,250.50",
    "cost": "40",
    "cost_for": "Hauling",
    "answer": "",
}
TYPED = {
    "salvage-offer": OFFER,
    "salvage-account": ACCOUNT,
    "non-receipt": {"looked": "Yard"},
    "technician-statement": {"text": "A dent.", "present": "Nobody"},
    "withdrawal": {"reason": ""},
}


def form(kind, **over):
    return form_for(kind)(data={**TYPED[kind], **over}, facts=FACTS)


def test_the_offer_takes_the_goods_the_place_and_the_day():
    asked = form("salvage-offer")

    assert asked.is_valid()
    assert asked.choices() == OfferChoices(tuple(HERE), "Bay 4", SOON)


def test_the_account_takes_whole_cents():
    asked = form("salvage-account")

    assert asked.is_valid()
    assert asked.choices() == AccountChoices(
        lines=tuple(HERE[:1]),
        lot="LOT-7",
        how="bids",
        buyer="Orrin Salvage",
        sold_on=FACTS.today,
        proceeds_cents=125_050,
        cost_cents=4_000,
        cost_for="Hauling",
    )
    free = form("salvage-account", cost="", cost_for="")
    assert free.is_valid()
    assert free.choices().cost_cents == 0


def test_a_reason_may_be_left_out_and_own_words_stand():
    reason = form("withdrawal")
    own = form("technician-statement", text="A dent,\n7 in long.")

    assert reason.is_valid()
    assert reason.choices().reason == ""
    assert own.is_valid()
    assert own.choices() == StatementChoices("A dent,\n7 in long.", "Nobody")


@pytest.mark.parametrize(
    ("kind", "over", "words"),
    [
        ("salvage-offer", {"lines": []}, "Choose at least one line."),
        ("salvage-offer", {"lines": SHORT}, "Choose from the lines"),
        ("salvage-offer", {"held_at": ""}, "where the carrier finds the goods"),
        ("salvage-offer", {"answer_by": ""}, "Enter the day to answer by."),
        ("salvage-offer", {"answer_by": "2028-01-01"}, "a year at most"),
        ("salvage-account", {"proceeds": "0"}, "above 0"),
        ("salvage-account", {"proceeds": ""}, "Enter an amount"),
        ("salvage-account", {"how": "raffle"}, "hoose"),
        ("salvage-account", {"buyer": ""}, "Enter who bought it."),
        ("salvage-account", {"lot": ""}, "Enter a lot number."),
        ("salvage-account", {"sold_on": "2026-12-01"}, "in the future"),
        ("non-receipt", {"looked": " "}, "Enter where you looked"),
        ("technician-statement", {"text": ""}, "Enter what you saw."),
        ("technician-statement", {"present": ""}, "Write Nobody"),
    ],
)
def test_what_is_missing_or_wrong_is_said(kind, over, words):
    assert form(kind).is_valid()

    wrong = form(kind, **over)

    assert not wrong.is_valid()
    assert words in str(wrong.errors)


def test_what_the_record_knows_is_filled_in():
    offer = form_for("salvage-offer")(facts=FACTS)
    account = form_for("salvage-account")(facts=FACTS)
    state = form_for("technician-statement")(facts=FACTS)

    assert offer["held_at"].value() == "Bay 4, weekdays 8 to 4"
    assert offer["lines"].value() == HERE
    assert account["lot"].value() == "QN-2026-0001-S1"
    assert state["text"].value() == draft_of(FACTS.goods)
