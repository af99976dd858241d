"""The letters of waiting: when each may be written, and what it says."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from claims.rules.letters.claim_letter import (
    NO_PERIODS,
    EarlierLetter,
    LetterFacts,
    NoChoices,
)
from claims.rules.letters.claim_letter_content import (
    cite_for,
    mail_address,
    mail_text,
    write_letter,
)
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.rules.letters.due import Waiting, letter_due
from claims.rules.packet.content import Party
from tests.claims.rules.letters.claim_samples import (
    US,
    choices_for,
    some_claims,
    told,
)

SENT = date(2026, 3, 2)
RECEIVED = date(2026, 3, 5)
FACTS = LetterFacts(
    today=RECEIVED + timedelta(days=31),
    regime="us-motor",
    currency="USD",
    claim_number="C-RIV-2026-0007",
    claimant="us",
    pro="410-220871",
    sender=Party("Riverside"),
    carrier=Party("Plainsway Freight", ("Dock 4", "claims@plainsway.example")),
    signer="Mina Osterby",
    claimed_cents=219_900,
    sent_on=SENT,
    sent_how="certified mail",
    received_on=RECEIVED,
    received_words="Signed by L. Parr.",
    periods=US,
    claim_file="Claim file, version 1",
    documents=("Bill of lading",),
)
UNPROVEN = replace(FACTS, received_on=None, received_words="")


def after(days, **more):
    """Return the claim so many days after its proven receipt."""
    return replace(FACTS, today=RECEIVED + timedelta(days=days), **more)


def written(kind, number, days, **more):
    """Return a letter that went out so many days after the proven receipt."""
    day = RECEIVED + timedelta(days=days)
    return EarlierLetter(kind, number, day, **{"sent_on": day, **more})


def text_of(key, facts):
    kind = KINDS[key]
    choices = choices_for(kind, facts)
    letter = write_letter(kind, facts, choices, number=1, paper="letter")
    return f"{letter.content.subject}\n{mail_text(letter.content)}"


@pytest.mark.parametrize(
    ("key", "facts", "words"),
    [
        # 49 CFR 370.5(a) gives 30 days from receipt; the reminder follows on day 31.
        ("reminder", after(30), "has until Sat 4 Apr 2026 to acknowledge"),
        ("reminder", after(31), ""),
        ("reminder", after(1, periods=NO_PERIODS), ""),
        ("reminder", UNPROVEN, "no proof yet"),
        ("reminder", after(31, acknowledged_on=RECEIVED), "acknowledged the claim"),
        ("reminder", after(31, offered_on=RECEIVED), "made an offer"),
        # 49 CFR 370.9: 120 days from receipt, then the end of each 60 days.
        ("status", after(119), "has until Fri 3 Jul 2026 to decide"),
        ("status", after(120), ""),
        ("status", after(1, periods=NO_PERIODS), ""),
        ("status", after(121, letters=(written("status", 4, 120),)), "is letter 4"),
        ("status", after(179, letters=(written("status", 4, 121),)), "Tue 1 Sep 2026"),
        ("status", after(180, letters=(written("status", 4, 121),)), ""),
        ("status", after(239, letters=(written("status", 5, 180),)), "is letter 5"),
        ("status", after(240, letters=(written("status", 5, 180),)), ""),
        ("status", after(300, letters=(written("status", 5, 299),)), ""),
        ("status", after(130, disallowed_on=RECEIVED), "declined the claim"),
        ("tracer", FACTS, "received the claim on Thu 5 Mar 2026"),
        ("tracer", UNPROVEN, ""),
        ("tracer", replace(UNPROVEN, sent_on=None), "not been sent yet"),
        ("tracer", replace(UNPROVEN, claim_file=""), "Make the claim file first"),
        ("cover", UNPROVEN, ""),
        ("cover", replace(UNPROVEN, claimant="supplier"), "the supplier's to file"),
        ("cover", replace(UNPROVEN, is_broker=True), "is a broker"),
        ("cover", replace(UNPROVEN, claimed_cents=0), "no amount yet"),
        ("cover", replace(UNPROVEN, is_over=True), "settled or withdrawn"),
        ("documents", FACTS, ""),
        ("documents", replace(FACTS, documents=()), "No document of the claim"),
    ],
)
def test_a_letter_is_possible_or_says_why_not(key, facts, words):
    against = " ".join(KINDS[key].against(facts))
    assert bool(against) is bool(words)
    assert words in against


@pytest.mark.parametrize("number", range(10))
def test_every_fact_is_said_once_in_two_hundred_claims(number):
    seen = set()
    for facts in some_claims()[number * 20 : number * 20 + 20]:
        for key, kind in KINDS.items():
            if key not in {"cover", "tracer", "reminder", "status", "documents"}:
                continue
            if kind.against(facts):
                continue
            seen.add(key)
            text = text_of(key, facts)
            for fact in told(kind, facts):
                assert text.count(fact) == 1, (key, fact, text)
    assert len(seen) >= 4


def test_where_no_rule_sets_a_period_the_letter_cites_nothing():
    for facts in some_claims():
        if facts.periods is not NO_PERIODS:
            continue
        for key in ("cover", "tracer", "reminder", "status", "documents"):
            if not KINDS[key].against(facts):
                assert "CFR" not in text_of(key, facts)
                assert cite_for(KINDS[key], facts) == ""


@pytest.mark.parametrize("key", KINDS)
def test_a_citation_leaves_the_full_stop_to_the_page(key):
    assert not KINDS[key].cite.endswith((".", " "))


def test_a_rule_that_is_no_federal_one_stands_beside_any_letter():
    kind = replace(KINDS["reminder"], cite="UCC 2-607(3)(a)")
    for facts in some_claims(20):
        assert cite_for(kind, facts) == "UCC 2-607(3)(a)"
    assert cite_for(KINDS["reminder"], FACTS) == "49 CFR 370.5(a)"


def test_no_letter_of_waiting_claims_a_penalty_or_a_default():
    # 49 CFR 370.9 gives none: lateness neither grants nor declines a claim.
    for days in (31, 120, 300):
        for key in ("reminder", "status"):
            text = text_of(key, after(days)).lower()
            for word in (
                "penalty",
                "interest",
                "default",
                "waive",
                "admit",
                "accepted",
            ):
                assert word not in text


def test_a_letter_is_known_by_its_digest_and_any_change_gives_another():
    kind = KINDS["reminder"]
    one = write_letter(kind, FACTS, NoChoices(), number=1, paper="letter")
    for facts, number in (
        (replace(FACTS, claimed_cents=219_901), 1),
        (replace(FACTS, signer="Nell"), 1),
        (replace(FACTS, today=FACTS.today + timedelta(days=1)), 1),
        (FACTS, 2),
    ):
        other = write_letter(kind, facts, NoChoices(), number=number, paper="letter")
        assert other.digest != one.digest
    same = write_letter(kind, FACTS, NoChoices(), number=1, paper="letter")
    assert same.digest == one.digest


def test_the_mail_goes_to_the_address_on_record():
    assert mail_address(FACTS.carrier) == "claims@plainsway.example"
    assert mail_address(Party("Nobody", ("Dock 4",))) == ""


def waiting(days, **more):
    """Return a claim received on day 0, so many days later."""
    values = {"sent_on": SENT, "received_on": RECEIVED, "periods": US}
    return Waiting(today=RECEIVED + timedelta(days=days), **{**values, **more})


def unproven(days, **more):
    """Return a claim sent on day 0 without proof, so many days later."""
    return Waiting(today=SENT + timedelta(days=days), sent_on=SENT, **more)


BAR = SENT + timedelta(days=100)


@pytest.mark.parametrize(
    ("case", "kind", "is_late"),
    [
        (waiting(30), "", False),
        (waiting(31), "reminder", False),
        (waiting(31, acknowledged_on=RECEIVED), "", False),
        (waiting(31, letters=(written("reminder", 1, 31),)), "", False),
        (waiting(120, letters=(written("reminder", 1, 31),)), "status", False),
        (waiting(121, letters=(written("status", 1, 120),)), "", False),
        (waiting(500, answered_on=RECEIVED), "", False),
        (waiting(500, periods=NO_PERIODS), "", False),
        (unproven(13), "", False),
        (unproven(14), "tracer", False),
        (unproven(1, letters=(EarlierLetter("tracer", 1, SENT),)), "tracer", False),
        (
            unproven(1, letters=(EarlierLetter("own", 1, SENT, goes_out=False),)),
            "",
            False,
        ),
        (
            waiting(2, letters=(written("rebuttal", 3, 1, sent_on=None),)),
            "rebuttal",
            False,
        ),
        (unproven(69, claim_by=BAR), "tracer", False),
        # Red from 30 days before the bar: our own choice, no source.
        (unproven(70, claim_by=BAR), "tracer", True),
        (unproven(1, claim_by=SENT + timedelta(days=20)), "tracer", True),
        (Waiting(today=SENT), "", False),
    ],
)
def test_the_letter_that_is_due(case, kind, is_late):
    due = letter_due(case)
    assert (due.kind if due else "") == kind
    assert (due.is_late if due else False) is is_late


def test_a_letter_that_was_confirmed_is_to_be_sent_before_another_is_written():
    confirmed = (written("reminder", 3, 31, sent_on=None),)
    due = letter_due(waiting(200, letters=confirmed))
    assert due.words == "Send letter 3: it is confirmed and not sent"


def test_a_tracer_that_was_sent_is_waited_for_as_long():
    day = SENT + timedelta(days=20)
    sent = (EarlierLetter("tracer", 1, day, sent_on=day),)
    assert letter_due(unproven(33, letters=sent)) is None
    assert letter_due(unproven(34, letters=sent)).words.startswith("Write the tracer")
