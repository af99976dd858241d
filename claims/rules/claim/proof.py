"""What a claim must prove, with what, and what is still missing.

Three elements make a prima facie case: good condition at origin, damage or
loss on arrival, and the amount (Missouri Pacific R.R. v. Elmore & Stahl, 377
U.S. 134 (1964), text seen).
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from claims.rules.claim.papers import PAPERS, PaperRule
from claims.rules.claim.way_home import HOME_PAPERS

PRESENT = "present"
MISSING = "missing"
NOT_NEEDED = "not needed"

FILED_ELSEWHERE = "Opened elsewhere: the claim was filed there with its documents."

BURDEN = "Missouri Pacific R.R. v. Elmore & Stahl, 377 U.S. 134 (1964)"


@dataclass(frozen=True)
class ProofFacts:
    """The known facts of the claim and what is on file.

    ``on_file`` holds the evidence kinds of the shipment and the claim.
    ``outcomes`` are the claim lines' outcomes. ``waived`` maps a document to the
    manager's reason for doing without it. ``freight_claimed`` means that freight
    we paid is part of the amount, ``is_way_home`` that crates were on their way to the
    supplier, under our own bill. A claim opened elsewhere (``is_elsewhere``) was filed
    with its documents there.
    """

    on_file: Collection[str] = ()
    outcomes: Collection[str] = ("repair",)
    has_concealed: bool = False
    has_exception_on_receipt: bool = False
    amount_stated: bool = False
    freight_claimed: bool = False
    claimant: str = "us"
    is_way_home: bool = False
    waived: Mapping[str, str] = field(default_factory=dict)
    is_elsewhere: bool = False

    @property
    def has_shortage(self) -> bool:
        """Return whether something is short or missing."""
        return "short" in self.outcomes

    @property
    def has_damage(self) -> bool:
        """Return whether something arrived damaged."""
        return any(outcome != "short" for outcome in self.outcomes)

    @property
    def has_repair(self) -> bool:
        """Return whether a repair is part of the amount."""
        return "repair" in self.outcomes


@dataclass(frozen=True)
class Paper:
    """One document: present, missing or not needed, why, and who gets it.

    ``kind`` is that of a file that would be this document.
    """

    key: str
    label: str
    state: str
    why: str
    who: str
    to_do: str = ""
    kind: str = ""

    @property
    def role(self) -> str:
        """Return the role that usually gets it."""
        return self.who.partition(",")[0]


@dataclass(frozen=True)
class Element:
    """One thing the claim must show, with what is on file and what is missing."""

    key: str
    label: str
    holds: bool
    on_file: tuple[str, ...]
    missing: tuple[str, ...]
    to_do: tuple[str, ...]
    authority: str = BURDEN


@dataclass(frozen=True)
class Proof:
    """The documents in the order a claim file is built, and the three elements."""

    papers: tuple[Paper, ...]
    elements: tuple[Element, ...]

    @property
    def missing(self) -> tuple[Paper, ...]:
        """Return the documents still to get."""
        return tuple(paper for paper in self.papers if paper.state == MISSING)

    @property
    def is_complete(self) -> bool:
        """Return whether no document is missing and every element holds."""
        return not self.missing and all(element.holds for element in self.elements)


def list_proof(facts: ProofFacts) -> Proof:
    """Return every document with its state, and the elements of the case."""
    rules = HOME_PAPERS if facts.is_way_home else PAPERS
    papers = tuple(_paper(rule, facts) for rule in rules)
    if facts.is_way_home:
        return Proof(papers, _way_home(facts))
    return Proof(
        papers=papers,
        elements=(_origin(facts), _arrival(facts), _amount(facts)),
    )


def _paper(rule: PaperRule, facts: ProofFacts) -> Paper:
    who = rule.who
    if set(rule.kinds) & set(facts.on_file):
        return Paper(rule.key, rule.label, PRESENT, rule.why, who)
    if facts.is_elsewhere:
        return Paper(rule.key, rule.label, NOT_NEEDED, FILED_ELSEWHERE, who)
    if rule.key in facts.waived:
        reason = f"Manager: {facts.waived[rule.key]}"
        return Paper(rule.key, rule.label, NOT_NEEDED, reason, who)
    if not _is_needed(rule.needed, facts):
        return Paper(rule.key, rule.label, NOT_NEEDED, rule.why_not, who)
    kind = rule.kinds[0]
    return Paper(rule.key, rule.label, MISSING, rule.why, who, rule.to_do, kind)


def _is_needed(when: str, facts: ProofFacts) -> bool:
    return {
        "always": True,
        "damage": facts.has_damage,
        "repair": facts.has_repair,
        "shortage": facts.has_shortage,
        "freight": facts.freight_claimed,
    }[when]


def _element(
    key: str,
    label: str,
    looked: list[tuple[bool, str, str]],
    *,
    holds: bool | None = None,
) -> Element:
    """Return an element from (is there, what it is, what to do where not)."""
    there = tuple(what for found, what, _ in looked if found)
    absent = tuple(what for found, what, _ in looked if not found)
    to_do = tuple(act for found, _, act in looked if not found)
    kept = not absent if holds is None else holds
    return Element(key, label, kept, there, absent, to_do)


def _has(facts: ProofFacts, *kinds: str) -> bool:
    return bool(set(kinds) & set(facts.on_file))


def _origin(facts: ProofFacts) -> Element:
    """Return the element of good condition when the carrier took the goods over.

    "Apparent good order" on the bill does not cover what is inside a
    closed crate (Accura Systems v. Watkins, 98 F.3d 874, from memory).
    """
    bill = _has(facts, "bill-of-lading")
    inside = _has(facts, "origin-condition")
    looked = [
        (
            bill,
            "Bill of lading, signed by the carrier without exceptions",
            "Get the signed bill of lading from the shipper.",
        ),
        (
            inside,
            "Condition of the goods inside the crate when packed",
            (
                "Ask the maker for the packing photos, the test sheet, or a "
                "statement by the packer."
            ),
        ),
    ]
    holds = bill and (inside or not facts.has_concealed)
    return _element("origin", "Good condition at origin", looked, holds=holds)


def _arrival(facts: ProofFacts) -> Element:
    receipt = _has(facts, "receipt", "carrier-image")
    looked = [
        (
            receipt,
            "Delivery receipt",
            "Photograph our copy, and ask the carrier for its POD.",
        )
    ]
    if not facts.has_concealed:
        looked.append(
            (
                facts.has_exception_on_receipt,
                "Our exceptions on the receipt",
                (
                    "A clear receipt does not end the claim. Collect photos and "
                    "statements that show the damage was there on arrival."
                ),
            )
        )
    if facts.has_damage:
        looked.append(
            (
                _has(facts, "damage", "look", "opening"),
                "Photos of the damage as found",
                "Photograph the damage before anything is moved or repaired.",
            )
        )
        looked.append(
            (
                _has(facts, "inspection-report", "inspection-waiver"),
                "Carrier's inspection report or waiver",
                (
                    "Ask for the inspection in writing. If nobody comes, make our "
                    "own report and state that the carrier was notified."
                ),
            )
        )
    if facts.has_shortage:
        looked.append(
            (
                _has(facts, "non-receipt"),
                "Certificate of non-receipt",
                (
                    "Sign a statement that the missing goods were not received from any "
                    "other source."
                ),
            )
        )
    return _element("arrival", "Damage or loss on arrival", looked)


def _amount(facts: ProofFacts) -> Element:
    looked = [
        (
            facts.amount_stated,
            "A stated amount",
            (
                "Price every line. A claim without an amount is not a claim (49 CFR "
                "370.3(b))."
            ),
        ),
        (
            _has(facts, "supplier-invoice"),
            "Supplier's invoice, net of discounts",
            "Ask accounting for the invoice, with every discount shown.",
        ),
    ]
    if facts.has_repair:
        looked.append(
            (
                _has(facts, "repair-estimate"),
                "Repair estimate with parts and hours",
                "Price the parts and hours of each repair, or get the bill for it.",
            )
        )
    if facts.freight_claimed:
        looked.append(
            (
                _has(facts, "freight-paid"),
                "Proof of freight payment",
                "Ask accounting for proof that the freight bill was paid.",
            )
        )
    return _element("amount", "Amount of the loss", looked)


def _way_home(facts: ProofFacts) -> tuple[Element, ...]:
    """Return the elements of a claim under a return's bill, of which we are shipper."""
    label = {paper.key: (paper.label, paper.to_do) for paper in HOME_PAPERS}
    taken = [(_has(facts, "bill-of-lading"), *label["bill-of-lading"])]
    arrived = [
        (_has(facts, "non-receipt", "carrier-image"), *label["non-receipt"]),
        *([(_has(facts, "damage"), *label["photos"])] if facts.has_damage else []),
    ]
    stated = (
        "Price every line. A claim without an amount is not a claim (49 CFR 370.3(b))."
    )
    worth = [
        (facts.amount_stated, "A stated amount", stated),
        (_has(facts, "supplier-invoice"), *label["supplier-invoice"]),
    ]
    return (
        _element("origin", "Count and condition when the carrier took it", taken),
        _element("arrival", "Loss or damage on arrival at the supplier", arrived),
        _element("amount", "Amount of the loss", worth),
    )
