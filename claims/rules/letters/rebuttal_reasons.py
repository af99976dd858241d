"""The reasons that carriers give for declining, what a point of ours is, and the rules.

The reasons are our own words. Each rule says where it is from and how well it was seen;
a letter prints its ``law`` alone, and only under a bill that the rule is for.
"""

from collections.abc import Callable
from dataclasses import dataclass

from claims.rules.letters.claim_letter import LetterFacts
from claims.rules.letters.record_facts import RecordFacts

FactOf = Callable[[LetterFacts, RecordFacts], str]

MOTOR = frozenset({"us-motor", "us-motor-older"})


@dataclass(frozen=True)
class Reason:
    """One reason: as the manager chooses it, and as the letter heads its answer."""

    label: str
    head: str


REASONS = {
    "packaging": Reason("Packaging", "On the packaging"),
    "late-notice": Reason("Late notice", "On the notice of damage"),
    "clean-receipt": Reason("Clean receipt", "On the delivery receipt"),
    "nature": Reason("Nature of the goods", "On the nature of the goods"),
    "released-value": Reason("Released value", "On a released value"),
    "no-inspection": Reason("No chance to inspect", "On inspection"),
    "load-and-count": Reason("Shipper's load and count", "On the load and count"),
    "unloaded": Reason("Consignee unloaded", "On the unloading"),
    "filed-late": Reason("Filed late", "On the filing of the claim"),
    "wrong-carrier": Reason("Wrong carrier", "On the carrier"),
    "freight-unpaid": Reason("Freight unpaid", "On the freight charges"),
    "salvage": Reason("Salvage", "On salvage"),
}


@dataclass(frozen=True)
class Rule:
    """Where a point is from and how well that was seen; ``law`` is what a letter says."""

    source: str
    law: str = ""
    regimes: frozenset[str] = MOTOR


PRACTICE = Rule("common practice, no source")


@dataclass(frozen=True)
class Point:
    """One answer: the fact it stands on, what follows from it, and its rule."""

    name: str
    fact: FactOf
    so: str
    rule: Rule = PRACTICE

    def law(self, facts: LetterFacts) -> str:
        """Return the rule as the letter says it; nothing under another law."""
        return self.rule.law if facts.regime in self.rule.regimes else ""


BOTH = Rule(
    "377 U.S. 134: summary seen",
    "The carrier then has to show both that it was free from negligence and that an "
    "excepted cause did the damage (Missouri Pacific R.R. Co. v. Elmore & Stahl, 377 U.S. "
    "134 (1964)).",
    MOTOR | {"us-rail"},
)
CLEAR = Rule(
    "GAO B-185283 and B-193182, text seen",
    "A receipt without exceptions is not conclusive (GAO B-185283, June 22, 1978).",
)
NOTICE = Rule(
    "NMFC item 300135-A(a) to (c), text seen",
    "NMFC item 300135 asks for notice to the delivering carrier with a request for "
    "inspection.",
)
ON_NOTICE = Rule("NMFC item 300135-A(d), text seen")
AFTER = Rule(
    "NMFC item 300135-A(f), text seen",
    "NMFC item 300135 asks a consignee for no more than reasonable evidence that the "
    "damage did not happen after delivery.",
)
DECLARED = Rule(
    "49 U.S.C. 14706(c)(1)(A), secondary source",
    "A limit needs the shipper's written or electronic declaration or a written agreement "
    "(49 U.S.C. 14706(c)(1)(A)).",
)
WHOLE_ARTICLE = Rule(
    "GAO B-185283, text seen",
    "A value by weight is taken on the whole article as shipped (GAO B-185283, June 22, "
    "1978).",
)
NINE_MONTHS = Rule(
    "49 U.S.C. 14706(e)(1), secondary source",
    "No carrier may set a period of less than nine months for filing (49 U.S.C. "
    "14706(e)(1)).",
)
DELIVERING = Rule(
    "49 U.S.C. 14706(a)(1), text seen",
    "The receiving and the delivering carrier are both liable under the bill of lading "
    "(49 U.S.C. 14706(a)(1)).",
)
SALVAGE = Rule(
    "49 CFR 370.11(a) and (c), text seen",
    "Please send us your record of what became of them, with lot number, money received "
    "and day (49 CFR 370.11).",
)
