"""What every letter about a claim is made of: its facts, its choices, its words.

A letter's kind is one row of a table. It says who gets the letter, what must be on
record before it may be written, and how it is written. The words come from the facts
alone: nothing here reads a clock or a database.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Generic, Literal, TypeVar

from claims.rules.letters.goods import NO_GOODS, GoodsFacts
from claims.rules.letters.notices import Letter
from claims.rules.letters.overlap import NOTHING_KNOWN, OverlapFacts
from claims.rules.letters.record_facts import RecordFacts
from claims.rules.packet.content import Party

Addressee = Literal["carrier", "supplier", "ourselves"]


@dataclass(frozen=True)
class LetterLine:
    """One live line of the claim: what it is about, and its amount in minor units.

    ``paid_cents`` is what was received for it before; the claim's demand is without it.
    ``outcome`` is its key ("repair", "total", "as-is", "short"), ``salvage_cents`` what
    the amount already deducts for salvage.
    """

    number: int
    label: str
    serial: str
    amount_cents: int
    supplement: int = 0
    paid_cents: int = 0
    outcome: str = ""
    salvage_cents: int = 0


@dataclass(frozen=True)
class NoticeGiven:
    """A notice on this freight bill that went out, and when it was received."""

    kind: str
    sent_on: date
    received_on: date | None = None


@dataclass(frozen=True)
class Period:
    """A period that the carrier's rules set it, with the paragraph."""

    days: int
    authority: str


@dataclass(frozen=True)
class CarrierPeriods:
    """What the rules of the carriage ask of the carrier; None where they ask nothing.

    ``acknowledge`` and ``decide`` run from the day the carrier received the claim,
    ``report`` again and again from the end of ``decide``.
    """

    acknowledge: Period | None = None
    decide: Period | None = None
    report: Period | None = None


NO_PERIODS = CarrierPeriods()


@dataclass(frozen=True)
class EarlierLetter:
    """A letter about the claim that was confirmed and not dropped.

    ``goes_out`` is false for a paper that stays with us.
    """

    kind: str
    number: int
    dated_on: date
    sent_on: date | None = None
    received_on: date | None = None
    goes_out: bool = True


@dataclass(frozen=True)
class LetterFacts:
    """What is on record about a claim on the day of a letter.

    Empty text and None mean: not known. Amounts are minor units of ``currency``.
    ``claimant`` is "us" or "supplier", ``regime`` the key of the rules of carriage.
    ``received_on`` is the day on which the carrier is proven to have received the
    claim, ``received_words`` the proof; ``claim_by`` the last safe day for the claim
    to reach the carrier. ``lines`` are the live lines. ``claim_file`` names the last
    claim file, ``documents`` are the documents on file, ``record`` is what they and the
    inspections say about the delivery and the goods. ``overlap`` is what is known of the
    same loss elsewhere. ``is_way_home``: we shipped the goods, under our own bill.
    """

    today: date
    regime: str
    currency: str
    claim_number: str
    claimant: str
    pro: str
    sender: Party
    carrier: Party
    signer: str
    signer_title: str = ""
    signer_phone: str = ""
    supplier: Party | None = None
    carrier_claim_number: str = ""
    bol: str = ""
    bol_on: date | None = None
    delivered_on: date | None = None
    claimed_cents: int = 0
    lines: tuple[LetterLine, ...] = ()
    sent_on: date | None = None
    sent_how: str = ""
    received_on: date | None = None
    received_words: str = ""
    acknowledged_on: date | None = None
    offered_on: date | None = None
    offered_cents: int | None = None
    disallowed_on: date | None = None
    disallowed_reason: str = ""
    settled_on: date | None = None
    paid_cents: int = 0
    claim_by: date | None = None
    notices: tuple[NoticeGiven, ...] = ()
    pay_to: str = ""
    periods: CarrierPeriods = NO_PERIODS
    claim_file: str = ""
    documents: tuple[str, ...] = ()
    letters: tuple[EarlierLetter, ...] = ()
    is_broker: bool = False
    is_over: bool = False
    is_way_home: bool = False
    record: RecordFacts | None = None
    goods: GoodsFacts = NO_GOODS
    overlap: OverlapFacts = NOTHING_KNOWN


ChoicesT = TypeVar("ChoicesT")

Need = Callable[[LetterFacts], str]
"""A condition for writing the letter: the empty text where it is met."""


@dataclass(frozen=True)
class NoChoices:
    """A letter that leaves its signer nothing to choose."""


@dataclass(frozen=True)
class LetterKind(Generic[ChoicesT]):
    """One kind of letter about a claim.

    ``lead`` says on the screen when it is used, ``cite`` where the rule stands.
    ``role`` is the act that its confirmation needs. ``encloses_claim`` sends the claim
    file along. What ``write`` returns has no signature, and does not repeat the
    references that every letter has: the carrier's claim number, PRO, bill of lading.
    ``checks`` say what does not fit in the choices. ``is_theirs`` marks a paper of the
    supplier's: we draft it on its head, and the supplier signs it. ``kept_as`` is the
    kind of evidence as which the confirmed paper is kept, so that it is an exhibit.
    """

    key: str
    name: str
    to: Addressee
    lead: str
    cite: str
    write: Callable[[LetterFacts, ChoicesT], Letter]
    needs: tuple[Need, ...] = ()
    role: str = "make-claim"
    encloses_claim: bool = False
    checks: tuple[Callable[[LetterFacts, ChoicesT], str], ...] = ()
    is_theirs: bool = False
    kept_as: str = ""

    def against(self, facts: LetterFacts) -> tuple[str, ...]:
        """Return every reason why the letter cannot be written on these facts."""
        return tuple(sentence for need in self.needs if (sentence := need(facts)))

    def against_choices(self, facts: LetterFacts, choices: ChoicesT) -> tuple[str, ...]:
        """Return every reason why these choices do not fit these facts."""
        return tuple(said for check in self.checks if (said := check(facts, choices)))
