"""What a rebuttal may quote of the claim: filing, carrier, freight, limit, salvage.

Each function returns the empty text where the record does not have its fact.
"""

from claims.rules.letters.claim_letter import LetterFacts
from claims.rules.letters.parts import amount, sentence
from claims.rules.letters.rebuttal_words import document
from claims.rules.letters.record_facts import RecordFacts
from claims.rules.packet.wording import listed
from inventory.rules.reckoning.calendars import in_full


def filed(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the day on which the claim was received in time, and its proof."""
    if not (record.filed_in_time and facts.received_on and facts.delivered_on):
        return ""
    words = " ".join(facts.received_words.split())
    proof = f" (proof: {words})" if words else ""
    return (
        f"The goods were delivered on {in_full(facts.delivered_on)}, and you received "
        f"our written claim on {in_full(facts.received_on)}{proof}."
    )


def acknowledged(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the carrier's acknowledgment of the claim."""
    if not facts.acknowledged_on:
        return ""
    return f"On {in_full(facts.acknowledged_on)} you acknowledged the claim."


def your_papers(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the carrier's own freight bill or proof of delivery."""
    named = [
        document(record, "freight-bill", "your freight bill"),
        document(record, "carrier-image", "your proof of delivery"),
    ]
    there = [name for name in named if name]
    if not (there and facts.pro):
        return ""
    return f"Your own papers name this freight: {listed(there)}."


def bill_of_lading(facts: LetterFacts, record: RecordFacts) -> str:
    """Return that the bill of lading, which the letter's head names, is on file."""
    shown = document(record, "bill-of-lading", "this bill of lading")
    return f"The goods moved on {shown}." if shown and facts.bol else ""


def freight_paid(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the proof that the freight was paid."""
    shown = document(record, "freight-paid", "the proof of payment")
    return f"The freight was paid: {shown}." if shown else ""


def freight_of_others(facts: LetterFacts, record: RecordFacts) -> str:
    """Return that the freight is for another to pay."""
    who = {
        "prepaid": "prepaid by the shipper",
        "prepaid-billed": "prepaid by the shipper",
        "third-party": "billed to a third party",
    }.get(record.freight_payer, "")
    return f"By the terms of the shipment the freight is {who}." if who else ""


def within_limit(facts: LetterFacts, record: RecordFacts) -> str:
    """Return that the claim is not above what a released value would allow."""
    limit = record.limit_cents
    if not (record.released_cents_per_lb and limit and facts.claimed_cents):
        return ""
    if facts.claimed_cents > limit:
        return ""
    rate = amount(facts, record.released_cents_per_lb)
    return (
        f"Even were a released value of {rate} a pound to apply, it would come to "
        f"{amount(facts, limit)}; our claim is {amount(facts, facts.claimed_cents)}."
    )


def weight(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the weight of each article as shipped."""
    if not record.weights:
        return ""
    return f"The article as shipped weighs: {listed(record.weights)}."


def salvage_held(facts: LetterFacts, record: RecordFacts) -> str:
    """Return who holds the salvage."""
    return f"As to salvage: {sentence(record.salvage)}" if record.salvage else ""


def salvage_credited(facts: LetterFacts, record: RecordFacts) -> str:
    """Return what the claim already takes off for salvage."""
    if not record.salvage_cents:
        return ""
    return f"Our claim already takes off {amount(facts, record.salvage_cents)} for it."


def parts_kept(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the replaced parts that are kept for the carrier."""
    if not record.parts_kept:
        return ""
    return f"The parts taken off are tagged and kept here: {listed(record.parts_kept)}."


def refused(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the crates that were refused at delivery."""
    if not (record.refused and record.first_day):
        return ""
    was = "was" if len(record.refused) == 1 else "were"
    return f"{listed(record.refused)} {was} refused on {in_full(record.first_day)}."
