"""Many claims: every answer tells each fact once, ties to the claim, and says no more."""

import random
from dataclasses import replace
from datetime import timedelta
from io import BytesIO

import pytest
from pypdf import PdfReader

from claims.actions.core.deadlines import count_deadlines
from claims.documents.letters import letter_pdf
from claims.queries.letters.claim_letters import letter_facts
from claims.queries.packet.working import working_content
from claims.rules.letters.acceptance import ACCEPTANCE, AcceptanceChoices, Accepted
from claims.rules.letters.content import LetterContent
from claims.rules.letters.counter_offer import COUNTER_OFFER, CounterChoices, Proposed
from claims.rules.letters.overlap import OverlapAnswer
from claims.rules.letters.rebuttal import REBUTTAL, RebuttalChoices, key_of, offered
from claims.rules.letters.tables import read_table
from claims.rules.letters.terms_of_answers import open_cents
from claims.rules.packet.working import OURS
from inventory.rules.reckoning.calendars import in_full
from tests.claims.queries.packet.generated import DELIVERED, how_many, some_claims
from tests.claims.stage import AT, TODAY
from tests.people import cast
from tests.sizes import SEED

pytestmark = [pytest.mark.database, pytest.mark.slow]

ANSWER_BY = TODAY + timedelta(days=60)


def facts_of(one, people, chance):
    """Return the facts of a generated claim that was sent, offered on and declined."""
    count_deadlines(shipment=one.claim.shipment, at=AT, person=people.mina)
    facts = letter_facts(one.claim, person=people.mina, today=TODAY)
    return replace(
        facts,
        claimant="us",
        sent_on=DELIVERED + timedelta(days=3),
        received_on=DELIVERED + timedelta(days=4),
        received_words="Signed by M. Dorn",
        acknowledged_on=chance.choice([None, DELIVERED + timedelta(days=5)]),
        offered_on=DELIVERED + timedelta(days=6),
        offered_cents=max(facts.claimed_cents // 3, 2),
        disallowed_on=DELIVERED + timedelta(days=6),
        overlap=replace(facts.overlap, answer=OverlapAnswer()),
        record=replace(
            facts.record,
            filed_in_time=chance.random() < 0.8,
            unmarked=chance.choice([0, 2]),
            salvage=chance.choice(["", "Riverside holds the article."]),
            refused=chance.choice([(), ("Crate 9 (HT-009)",)]),
        ),
    )


def answers(people):
    """Yield each generated claim's facts with its three letters and their choices."""
    chance = random.Random(SEED)
    for one in some_claims(people, how_many()):
        facts = facts_of(one, people, chance)
        if facts.claimed_cents > 100:
            yield one, facts, letters(facts)


def letters(facts):
    keys = [
        key_of(reason, p) for reason, points in offered(facts).items() for p in points
    ]
    opened = [line for line in facts.lines if open_cents(line)]
    share = [(line.number, open_cents(line) * 2 // 3) for line in facts.lines]
    part = [(line.number, open_cents(line) // 3) for line in opened]
    return (
        (REBUTTAL, RebuttalChoices(tuple(keys), "", ANSWER_BY)),
        (
            COUNTER_OFFER,
            CounterChoices(
                tuple(Proposed(*row) for row in share),
                0,
                "Labor is left out",
                ANSWER_BY,
            ),
        ),
        (
            ACCEPTANCE,
            AcceptanceChoices(
                tuple(Accepted(*row) for row in part if row[1]), ANSWER_BY
            ),
        ),
    )


def printed(facts, letter, paper):
    """Return the text of a letter's PDF, without what stands around each page."""
    content = LetterContent(
        sender=facts.sender,
        addressee=facts.carrier,
        date="March 16, 2026",
        references=(),
        subject=letter.subject,
        paragraphs=tuple(letter.body.split("\n\n")),
        signed_by=facts.signer,
        paper=paper,
        dated_on="2026-03-16",
    )
    lines = []
    for number, page in enumerate(PdfReader(BytesIO(letter_pdf(content))).pages):
        own = page.extract_text().splitlines()
        around = (
            {letter.subject, facts.sender.name, "March 16, 2026"} if number else set()
        )
        lines += [
            line for line in own if line not in around and not line.startswith("Page ")
        ]
    return " ".join(" ".join(lines).split())


def test_every_fact_of_an_answer_is_printed_once(db):
    people = cast()
    told = set()
    for one, facts, written in answers(people):
        paper = "a4" if one.number % 2 else "letter"
        for kind, choices in written:
            assert kind.against(facts) == (), (one.number, kind.key)
            assert kind.against_choices(facts, choices) == (), (one.number, kind.key)
            letter = kind.write(facts, choices)
            text = printed(facts, letter, paper).replace(f"{letter.subject} ", "")
            for fact in facts_in(kind, facts, choices):
                told.add(fact)
                assert text.count(" ".join(fact.split())) == 1, (one.number, fact)
    assert len(told) >= 30


def facts_in(kind, facts, choices):
    if kind is REBUTTAL:
        return {
            point.fact(facts, facts.record)
            for points in offered(facts).values()
            for point in points
        }
    table = next(
        found
        for part in kind.write(facts, choices).body.split("\n\n")
        if (found := read_table(part))
    )
    return {f"{row[0]} {row[1]}" for row in table.rows if row[0]}


def test_every_amount_of_an_answer_ties_to_the_claim(db):
    people = cast()
    for one, facts, (rebuttal, counter, acceptance) in answers(people):
        demand = f"USD {facts.claimed_cents / 100:,.2f}"
        assert f"pay {demand}." in rebuttal[0].write(facts, rebuttal[1]).body
        sheet = the_table(counter, facts)
        *rows, last = sheet.rows
        assert sum(map(cents, (row[2] for row in rows))) == cents(last[2])
        assert cents(last[2]) == facts.claimed_cents, one.number
        assert sum(map(cents, (row[4] for row in rows))) == cents(last[4])
        assert cents(last[3]) == facts.offered_cents
        released = the_table(acceptance, facts)
        *rows, last = released.rows
        assert sum(cents(row[3]) for row in rows) == cents(last[3])
        claimed = {str(line.number): line.amount_cents for line in facts.lines}
        assert all(cents(row[3]) <= claimed[row[0]] for row in rows)


def the_table(letter, facts):
    kind, choices = letter
    parts = kind.write(facts, choices).body.split("\n\n")
    return next(table for part in parts if (table := read_table(part)))


def cents(text):
    return round(float(text.removeprefix("USD ").replace(",", "") or 0) * 100)


def test_nothing_of_the_working_file_is_in_an_answer(db):
    people = cast()
    for one, facts, written in answers(people):
        ours = working_content(one.claim, as_of=TODAY)
        private = [
            *(step for entry in ours.deadlines for step in entry.steps),
            *(entry.effect for entry in ours.deadlines),
            *(entry.due for entry in ours.deadlines),
            *(entry.safe for entry in ours.deadlines),
            *(paper.note for paper in ours.papers),
            *ours.reasoning.doubts,
            *(row.value for row in ours.opinions),
            *(step.text for step in ours.limits),
        ]
        for kind, choices in written:
            said = kind.write(facts, choices).text.casefold()
            assert [words for words in OURS if words in said] == [], one.number
            found = [t for t in private if len(t) > 12 and t.casefold() in said]
            assert found == [], (one.number, kind.key)


def test_no_day_of_ours_to_file_or_to_sue_is_in_an_answer(db):
    people = cast()
    seen = 0
    for one, facts, written in answers(people):
        rows = one.claim.shipment.deadlines.filter(duty__in=["claim", "suit"])
        days = {
            in_full(day) for row in rows for day in (row.due, row.safe, row.send_by)
        }
        seen += len(days)
        for kind, choices in written:
            said = kind.write(facts, choices).text
            assert [day for day in days if day in said] == [], one.number
            assert f", {facts.disallowed_on.year + 2}" not in said
    assert seen
