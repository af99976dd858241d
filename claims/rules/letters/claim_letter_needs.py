"""Conditions that several letters about a claim share, each with its sentence."""

from claims.rules.letters.claim_letter import LetterFacts
from inventory.rules.reckoning.calendars import in_words


def is_ours(facts: LetterFacts) -> str:
    """Return why a claim of the supplier's is not pressed by us."""
    if facts.claimant == "us":
        return ""
    return (
        "This claim is the supplier's to file, so the supplier writes to the carrier."
    )


def is_live(facts: LetterFacts) -> str:
    """Return that the claim is over."""
    return "The claim is settled or withdrawn." if facts.is_over else ""


def is_for_carrier(facts: LetterFacts) -> str:
    """Return why a claim never goes to a broker."""
    if not facts.is_broker:
        return ""
    return (
        "The carrier on this freight bill is a broker. Find out the motor carrier and "
        "change the freight bill first."
    )


def has_amount(facts: LetterFacts) -> str:
    """Return that the claim asks for nothing yet."""
    return "" if facts.claimed_cents > 0 else "The claim has no amount yet."


def has_claim_file(facts: LetterFacts) -> str:
    """Return that there is no claim file to enclose."""
    return "" if facts.claim_file else "Make the claim file first: it is enclosed."


def came_to_us(facts: LetterFacts) -> str:
    """Return why we cannot state what was not received of a load that we shipped."""
    if not facts.is_way_home:
        return ""
    return (
        "These crates were on their way to the supplier, so the supplier states what it "
        "did not receive."
    )


def was_sent(facts: LetterFacts) -> str:
    """Return that the claim did not go out."""
    return "" if facts.sent_on else "The claim has not been sent yet."


def is_proven(facts: LetterFacts) -> str:
    """Return that the carrier is not proven to have the claim."""
    if facts.received_on:
        return ""
    return "There is no proof yet that the carrier received the claim."


def is_not_proven(facts: LetterFacts) -> str:
    """Return that the carrier is proven to have the claim."""
    if facts.received_on is None:
        return ""
    return f"The carrier received the claim on {in_words(facts.received_on)}."


def is_unanswered(facts: LetterFacts) -> str:
    """Return that the carrier has offered, declined or paid."""
    if facts.disallowed_on:
        return f"The carrier declined the claim on {in_words(facts.disallowed_on)}."
    if facts.offered_on:
        return f"The carrier made an offer on {in_words(facts.offered_on)}."
    return ""
