"""Repair, total loss, or sold as is: what a unit may be set to, and why.

A safety part is never set to repair by price: the maker's written instruction, or
a new part. A unit the maker condemns is total, and its salvage must not return it
to use. Common practice of the trade, no source.
"""

from dataclasses import dataclass

from claims.rules.bench.safety_parts import SAFETY_BASES

NOT_REPAIRED = frozenset({"total", "short"})
"""Outcomes that ask for no repair, whatever its estimate."""


@dataclass(frozen=True)
class OutcomeFacts:
    """The facts that decide the outcome of one article; amounts in cents.

    ``safety_basis`` is "replacement" or "instruction" where each damaged safety
    part has one, else "". ``condemned`` means that the maker declared the unit unfit.
    """

    value_cents: int
    repair_cents: int
    salvage_cents: int = 0
    has_safety_part: bool = False
    safety_basis: str = ""
    condemned: bool = False


@dataclass(frozen=True)
class OutcomeAdvice:
    """The outcome the facts point to, which ones are open, and the reasons.

    ``outcome`` is empty where it cannot be decided yet.
    """

    outcome: str
    allowed: tuple[str, ...]
    reasons: tuple[str, ...]


def advise_outcome(facts: OutcomeFacts) -> OutcomeAdvice:
    """Return the outcome of a damaged article.

    Raise ValueError for a safety basis that is not listed.
    """
    if facts.safety_basis and facts.safety_basis not in SAFETY_BASES:
        raise ValueError("Unknown basis for a safety part.")
    if facts.condemned:
        return OutcomeAdvice(
            "total",
            ("total",),
            (
                "The maker condemned it, so it is a total loss.",
                (
                    "Salvage must not return it to use. Sell it for parts or scrap "
                    "only, with its serial plate removed or marked."
                ),
            ),
        )
    if facts.has_safety_part and not facts.safety_basis:
        return OutcomeAdvice(
            "",
            ("total",),
            (
                (
                    "A safety part is damaged. Get the maker's written instruction "
                    "or claim a new part before you set it to repair."
                ),
            ),
        )
    return _by_price(facts)


def _by_price(facts: OutcomeFacts) -> OutcomeAdvice:
    worth = max(facts.value_cents - facts.salvage_cents, 0)
    allowed: tuple[str, ...] = ("repair", "total", "as-is")
    reasons: tuple[str, ...] = ()
    if facts.has_safety_part:
        allowed = ("repair", "total")
        reason = "The safety part is covered: " + SAFETY_BASES[facts.safety_basis]
        reasons = (
            f"{reason}.",
            "Not to be sold as is with that part damaged.",
        )
    if facts.repair_cents < worth:
        return OutcomeAdvice(
            "repair",
            allowed,
            (*reasons, "The repair costs less than the loss in value."),
        )
    return OutcomeAdvice(
        "total",
        allowed,
        (*reasons, "The repair costs as much as the value less salvage, or more."),
    )
