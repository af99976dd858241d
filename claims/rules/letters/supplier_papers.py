"""The claim in the supplier's hands: the hand-over, the assignment, the authority.

Who is not the claimant may sue with the claimant's consent, for whom it may concern
(UCC 2-722, from memory). A carrier that has two claims for one loss asks both claimants
for proof of title (49 CFR 370.3(e), from memory), so each paper says who files.
Assignment and authority are the supplier's own papers: we draft them, the supplier signs.
"""

from claims.rules.core.vocabulary import NOTICE_KINDS
from claims.rules.letters.claim_letter import LetterFacts, LetterKind, NoChoices
from claims.rules.letters.claim_letter_needs import has_claim_file, is_live
from claims.rules.letters.lines import goods_table, has_lines, lines_table
from claims.rules.letters.notices import Letter
from claims.rules.letters.waiting import letter
from inventory.rules.reckoning.calendars import in_full


def _has_supplier(facts: LetterFacts) -> str:
    if facts.supplier is not None:
        return ""
    return "The freight bill has no supplier. Complete the paperwork first."


def _is_suppliers(facts: LetterFacts) -> str:
    if facts.claimant == "supplier":
        return ""
    return (
        "On this freight bill the claim is ours, so it is not handed over. If the "
        "delivery terms say otherwise, complete the paperwork."
    )


def _hand_over(facts: LetterFacts, _choices: NoChoices) -> Letter:
    return letter(
        facts,
        "hand-over with its file",
        f"{_delivered(facts)} The claim against the carrier for the loss on this freight "
        "bill is yours to file. We hand it over to you with its file, which is enclosed. "
        "These are its lines:",
        lines_table(facts),
        _given(facts),
        _by(facts),
        _filed(facts),
        "Please send us the number and the day of your claim, and a copy of it. If you "
        "want us to file it, sign the assignment or the authority and send it back to us.",
        "All our rights under the order are reserved.",
    )


def _delivered(facts: LetterFacts) -> str:
    if facts.delivered_on is None:
        return f"The carrier is {facts.carrier.name}."
    return f"{facts.carrier.name} delivered to us on {in_full(facts.delivered_on)}."


def _given(facts: LetterFacts) -> str:
    if not facts.notices:
        return ""
    lines = []
    for notice in facts.notices:
        name = NOTICE_KINDS.get(notice.kind, notice.kind)
        got = (
            f", received {in_full(notice.received_on)}"
            if notice.received_on
            else ", no proof of delivery yet"
        )
        lines.append(f"{name}: sent {in_full(notice.sent_on)}{got}.")
    return "\n".join(("What we sent about this freight bill:", *lines))


def _by(facts: LetterFacts) -> str:
    if facts.claim_by is None:
        return ""
    return (
        "By our count your claim must reach the carrier by "
        f"{in_full(facts.claim_by)}. Please check that against the bill of lading and the "
        "carrier's tariff."
    )


def _filed(facts: LetterFacts) -> str:
    if facts.sent_on is None:
        return "We have filed no claim of our own for this loss."
    return (
        f"We sent the carrier a claim for this loss on {in_full(facts.sent_on)}. Please "
        "reply to us before you file: a carrier that has two claims for one loss asks "
        "both claimants for proof of title (49 CFR 370.3(e))."
    )


HAND_OVER: LetterKind[NoChoices] = LetterKind(
    key="hand-over",
    name="Hand-over of the claim to the supplier",
    to="supplier",
    lead="Use it where the claim is the supplier's to file. The claim file goes along.",
    cite="UCC 2-722; 49 CFR 370.3(e) (from memory)",
    write=_hand_over,
    needs=(_has_supplier, _is_suppliers, is_live, has_lines, has_claim_file),
    encloses_claim=True,
)


def _supplier(facts: LetterFacts) -> str:
    return facts.supplier.name if facts.supplier else ""


def _alone(facts: LetterFacts) -> str:
    return (
        f"{_supplier(facts)} has filed no claim for this loss with any carrier, and files "
        "none while this paper is in force. If it has filed one, its number and day "
        "are: ______________________________"
    )


def _order_stands() -> str:
    return (
        "This paper changes nothing else between the two of us: the order, its delivery "
        "terms, its price and its warranties are as they were."
    )


def _carriage(facts: LetterFacts) -> str:
    on = f", delivered {in_full(facts.delivered_on)}" if facts.delivered_on else ""
    return f"the goods that {facts.carrier.name} carried under this freight bill{on}"


def _assignment(facts: LetterFacts, _choices: NoChoices) -> Letter:
    return letter(
        facts,
        "assignment",
        f"{_supplier(facts)} assigns to {facts.sender.name} every right that it has "
        f"against the carrier for loss of or damage to {_carriage(facts)}. It is about "
        "these goods:",
        goods_table(facts.lines),
        f"{facts.sender.name} may file the claim, sue on it, settle it and give a "
        "release, all in its own name. The carrier may pay it alone.",
        _alone(facts),
        _order_stands(),
    )


def _authority(facts: LetterFacts, _choices: NoChoices) -> Letter:
    return letter(
        facts,
        "authority to file it",
        f"{_supplier(facts)} authorizes {facts.sender.name} to file and to pursue, for "
        "whom it may concern, the claim against the carrier for loss of or damage to "
        f"{_carriage(facts)}. It is about these goods:",
        goods_table(facts.lines),
        f"{facts.sender.name} may receive the carrier's answers and its payment, and "
        "holds the payment for whom it may concern. It settles for less, or gives a "
        f"release, only where {_supplier(facts)} agrees in writing. The authority lasts "
        f"until {_supplier(facts)} ends it in writing.",
        _alone(facts),
        _order_stands(),
    )


_THEIRS = (_has_supplier, is_live, has_lines)

ASSIGNMENT: LetterKind[NoChoices] = LetterKind(
    key="assignment",
    name="Assignment of the claim, for the supplier to sign",
    to="ourselves",
    lead=(
        "Use it where the claim may be the supplier's and you are to file it as your own. "
        "The supplier signs it. When it is back, add a photo or PDF of it to the freight "
        "bill."
    ),
    cite="UCC 2-210, 2-722 (from memory)",
    write=_assignment,
    needs=_THEIRS,
    is_theirs=True,
)

AUTHORITY: LetterKind[NoChoices] = LetterKind(
    key="authority",
    name="Authority to file the claim, for the supplier to sign",
    to="ourselves",
    lead=(
        "Use it where the claim stays the supplier's and you file it for whom it may "
        "concern. The supplier signs it. When it is back, add a photo or PDF of it to the "
        "freight bill."
    ),
    cite="UCC 2-722 (from memory)",
    write=_authority,
    needs=_THEIRS,
    is_theirs=True,
)
