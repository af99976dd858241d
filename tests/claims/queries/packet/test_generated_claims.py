"""Many claims: what is ours alone is in no claim file, and every amount ties."""

import dataclasses
from decimal import Decimal

import pytest

from claims.queries.packet.gathered import gather
from claims.queries.packet.gathering import packet_content
from claims.queries.packet.working import working_content
from claims.rules.packet.working import OURS
from inventory.evidence.seal.register import TreeState
from tests.claims.queries.packet.generated import how_many, some_claims
from tests.claims.stage import TODAY
from tests.people import cast

pytestmark = [pytest.mark.database, pytest.mark.slow]

TREE = TreeState(1, "ab" * 32)


def content_of(claim, people):
    gathered = gather(claim, person=people.mina, as_of=TODAY)
    return packet_content(gathered, version=1, tree=TREE, checker="")


def texts_in(value):
    """Yield every text of a content, in any field."""
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from texts_in(getattr(value, field.name))
    elif isinstance(value, tuple):
        for each in value:
            yield from texts_in(each)
    elif isinstance(value, str):
        yield value


def cents(text):
    return int(Decimal(text.replace(",", "")) * 100)


def test_nothing_of_the_working_file_is_in_a_claim_file(db):
    people = cast()
    seen = set()
    for one in some_claims(people, how_many()):
        content = content_of(one.claim, people)
        said = "\n".join(texts_in(content)).casefold()
        assert [words for words in OURS if words in said] == [], one.number
        ours = working_content(one.claim, as_of=TODAY)
        private = [
            *(step for entry in ours.deadlines for step in entry.steps),
            *(entry.effect for entry in ours.deadlines),
            *(paper.note for paper in ours.papers),
            *ours.reasoning.doubts,
            *(row.value for row in ours.changes),
            *(row.value for row in ours.opinions),
            *(step.text for step in ours.limits),
        ]
        seen |= {text for text in private if text}
        found = [t for t in private if len(t) > 12 and t.casefold() in said]
        assert found == [], one.number
    assert len(seen) > 20  # there was something to find


def test_the_facts_that_count_are_in_every_claim_file(db):
    people = cast()
    for one in some_claims(people, how_many()):
        content = content_of(one.claim, people)
        claim, statement = one.claim, content.statement
        facts = statement.shipment
        assert facts.pro == claim.shipment.pro_number
        assert facts.delivered and all("March 10, 2026" in d for d in facts.delivered)
        assert facts.freight_class == claim.shipment.freight_class
        assert statement.notice.recovered == "None"
        assert statement.notice.salvage
        assert bool(statement.notice.where) == (statement.kind != "Shortage")
        assert statement.signer.phone == "319 555 0144"
        assert bool(statement.no_other_claim) == claim.is_only_claim
        assert all(article.serial and article.weight for article in statement.articles)
        assert all(article.found for article in statement.articles)
        assert len(statement.notice.notices) == len(claim.shipment.notices.all())
        assert [row.words for row in content.receipts] == [
            row.words_full for row in claim.shipment.handovers.all()
        ]
        assert all(
            row.seen_at_delivery == "No: inside a closed crate"
            for row in content.findings
            if row.stage == "At uncrating"
        )
        assert bool(content.custody) == (str(one.opened) > "2026-03-10" or _late(claim))


def _late(claim):
    return any(str(row.sent_on) > "2026-03-10" for row in claim.shipment.notices.all())


def test_findings_begin_with_the_crate_and_all_is_numbered_from_one(db):
    people = cast()
    for one in some_claims(people, how_many()):
        content = content_of(one.claim, people)
        numbers = [row.number for row in content.findings]
        assert numbers == [str(n) for n in range(1, len(numbers) + 1)]
        assert content.findings[0].title.startswith("Crate")
        assert [row.number for row in content.exhibits] == list(
            range(1, len(content.exhibits) + 1)
        )
        assert all(row.title != "Letter from the carrier" for row in content.exhibits)
        if content.manifest:
            assert [row.sha256 for row in content.exhibits] == [
                row.sha256 for row in content.manifest.originals
            ]
            assert [row.file for row in content.exhibits] == [
                row.file for row in content.manifest.originals
            ]


def test_every_amount_ties(db):
    """Statement rows, lines, steps, worksheet, letter and demand are one sum."""
    people = cast()
    for one in some_claims(people, how_many()):
        content = content_of(one.claim, people)
        statement, schedule = content.statement, content.schedule
        demanded = cents(statement.amount)
        assert sum(cents(row.amount) for row in statement.rows) == demanded, one.number
        assert sum(cents(line.amount) for line in schedule.lines) == demanded
        for line in schedule.lines:
            *steps, total = line.steps
            assert total.is_total
            assert cents(total.amount) == cents(line.amount)
            if steps:
                assert sum(cents(step.amount) for step in steps) == cents(line.amount)
            elif line.parts:
                assert sum(cents(row.amount) for row in line.parts) == cents(
                    line.amount
                )
        assert statement.closing == schedule.worksheet
        assert cents(schedule.worksheet[-1].amount) == demanded
        worded = f"USD {statement.amount}"
        assert content.cover.references[0].value == worded
        if content.edition == "claim":
            assert content.cover.demand.endswith(f"payment of {worded}.")


def test_what_is_the_suppliers_is_never_our_claim(db):
    people = cast()
    seen = 0
    for one in some_claims(people, how_many()):
        content = content_of(one.claim, people)
        is_theirs = one.claim.claimant == "supplier"
        seen += is_theirs
        said = "\n".join(texts_in(content.cover))
        assert ("Our claim" in said) == (not is_theirs)
        assert ("We claim payment" in said) == (not is_theirs)
        assert (content.cover.pay_to == ()) == is_theirs
        if is_theirs:
            assert content.cover.addressee.name == one.claim.shipment.supplier.name
    assert seen
