"""The life of a claim: which act is possible in which state, and what it needs.

Delivery counts, not sending: nothing the carrier owes can be recorded before the
day on which it received the claim is proven (49 CFR 370.5 and 370.9 run from it).
What a broker received proves nothing (``addressees.py``).
"""

from claims.rules.claim import life_facts as needs
from claims.rules.claim.life_facts import ClaimFacts
from claims.rules.core.vocabulary import CLAIM_STATES
from inventory.rules.core.life import Act, Life, State, leads, stays

DRAFTED = "drafted"
SENT = "sent"
RECEIVED = "received"
ACKNOWLEDGED = "acknowledged"
OFFERED = "offered"
COUNTERED = "countered"
ACCEPTED = "accepted"
DISALLOWED = "disallowed"
SETTLED = "settled"
NOT_PURSUED = "not-pursued"
HANDED_OVER = "handed-over"
WITHDRAWING = "withdrawing"
WITHDRAWN = "withdrawn"

_TALKING = (RECEIVED, ACKNOWLEDGED, OFFERED, COUNTERED, DISALLOWED)
_WITH_CARRIER = (RECEIVED, ACKNOWLEDGED, OFFERED, COUNTERED, ACCEPTED, DISALLOWED)
_OUT = (SENT, *_WITH_CARRIER)
_LIVE = (DRAFTED, *_OUT)

_ANSWER = (needs.needs_day, needs.not_before_receipt)
_ON_LINE = (needs.needs_reason, needs.needs_unsent_line)
_SENT_DAY = (needs.needs_day, needs.not_before_sending)
_REOPEN = "The claim is closed. Reopen it first."
_GONE_OUT = "The claim went out. Record it as sent again, to the company you choose."
_CLOSED = dict.fromkeys((SETTLED, NOT_PURSUED, HANDED_OVER), _REOPEN)
_MONEY_FIRST = (needs.decide_first, needs.close_paid)
_BEFORE_WAITING = (needs.carrier_first, *_MONEY_FIRST, needs.letter_first)


def _told(label: str, *conditions: needs.Need) -> Act[ClaimFacts]:
    """Return an act on an open claim that only records what was said or done."""
    wanted = (needs.needs_day, *conditions)
    return Act(label, "make-claim", stays(_LIVE), needs=wanted, unfit=_CLOSED)


LIFE: Life[ClaimFacts] = Life(
    states={
        DRAFTED: State(
            CLAIM_STATES[DRAFTED],
            "The claim has not been sent yet.",
            "Send the claim",
            instead=(needs.hand_over_first, needs.documents_first),
        ),
        SENT: State(
            CLAIM_STATES[SENT],
            "There is no proof yet that the carrier received the claim. Record proof of "
            "delivery first.",
            "Record proof of delivery to the carrier",
            instead=_BEFORE_WAITING,
        ),
        RECEIVED: State(
            CLAIM_STATES[RECEIVED],
            "The carrier has already received the claim.",
            "Wait for the carrier's acknowledgment",
            instead=_BEFORE_WAITING,
        ),
        ACKNOWLEDGED: State(
            CLAIM_STATES[ACKNOWLEDGED],
            "The carrier has already acknowledged the claim.",
            "Wait for the carrier to pay, decline or offer",
            instead=_BEFORE_WAITING,
        ),
        OFFERED: State(
            CLAIM_STATES[OFFERED],
            "The carrier has already made an offer.",
            "Answer the offer",
            instead=_BEFORE_WAITING,
        ),
        COUNTERED: State(
            CLAIM_STATES[COUNTERED],
            "The carrier has your counter-offer.",
            "Wait for the carrier's answer to the counter-offer",
            instead=_BEFORE_WAITING,
        ),
        ACCEPTED: State(
            CLAIM_STATES[ACCEPTED],
            "The offer is accepted.",
            "Record the payment",
            instead=(*_MONEY_FIRST, needs.close_as_agreed, needs.letter_first),
        ),
        DISALLOWED: State(
            CLAIM_STATES[DISALLOWED],
            "The carrier has already declined the claim in writing. The first letter "
            "counts, and a repeat restarts nothing.",
            "Answer the written denial, or sue in time",
            tone="late",
            instead=_BEFORE_WAITING,
        ),
        SETTLED: State(
            CLAIM_STATES[SETTLED],
            "The claim is settled and closed.",
            "Settled. Nothing to do",
            tone="kept",
            is_final=True,
        ),
        NOT_PURSUED: State(
            CLAIM_STATES[NOT_PURSUED],
            "The claim is closed and not pursued.",
            "Not pursued. Nothing to do",
            tone="plain",
            is_final=True,
        ),
        HANDED_OVER: State(
            CLAIM_STATES[HANDED_OVER],
            "The claim is with the supplier, who files it.",
            "The supplier files it. Nothing to do",
            tone="plain",
            is_final=True,
        ),
        WITHDRAWING: State(
            CLAIM_STATES[WITHDRAWING],
            "The claim was withdrawn.",
            "Tell the carrier that the claim is withdrawn",
        ),
        WITHDRAWN: State(
            CLAIM_STATES[WITHDRAWN],
            "The claim was withdrawn.",
            "Withdrawn. Nothing to do",
            tone="plain",
            is_final=True,
        ),
    },
    acts={
        "supplement": Act(
            "Add a supplement",
            "make-claim",
            stays(_LIVE),
            needs=(needs.needs_answers,),
            unfit=_CLOSED,
        ),
        "adjust-line": Act("Adjust a line", "make-claim", stays(_LIVE), needs=_ON_LINE),
        "strike-line": Act("Remove a line", "make-claim", stays(_LIVE), needs=_ON_LINE),
        "take-off-credit": Act(
            "Take off what the supplier credited", "make-claim", stays(_LIVE)
        ),
        "decide-paper": Act(
            "Mark a document as not needed",
            "decide",
            stays(_LIVE),
            needs=(needs.needs_reason,),
        ),
        "give-paper": Act(
            "Give a missing document to someone", "give-paper", stays(_LIVE)
        ),
        "address": Act(
            "Choose whom it goes to",
            "make-claim",
            stays((DRAFTED,)),
            unfit={**dict.fromkeys(_OUT, _GONE_OUT), **_CLOSED},
        ),
        "send": Act(
            "Record as sent",
            "make-claim",
            leads((DRAFTED, SENT), SENT),
            needs=needs.GOES_OUT,
        ),
        "refile": Act(
            "Send it to the carrier",
            "make-claim",
            leads(_WITH_CARRIER, SENT),
            bars=(needs.needs_no_filing,),
            needs=needs.GOES_OUT,
            unfit={SENT: _GONE_OUT, **_CLOSED},
        ),
        "receive": Act(
            "Record proof of delivery",
            "make-claim",
            leads((SENT,), RECEIVED),
            bars=(needs.needs_filing,),
            needs=(*_SENT_DAY, needs.needs_proof),
        ),
        "acknowledge": Act(
            "Record the acknowledgment",
            "make-claim",
            leads((RECEIVED,), ACKNOWLEDGED),
            needs=_ANSWER,
        ),
        "ask-inspection": _told("Record a request for inspection"),
        "inspection": _told("Record what came of the inspection", needs.needs_asked),
        "permission": _told("Record a written answer", needs.needs_proof),
        "ask-papers": Act(
            "Record what the carrier asks for",
            "make-claim",
            stays(_OUT),
            needs=(*_SENT_DAY, needs.needs_reason),
            unfit=_CLOSED,
        ),
        "supply-papers": Act(
            "Record documents as supplied",
            "make-claim",
            stays(_OUT),
            needs=(*_SENT_DAY, needs.needs_reason),
            unfit=_CLOSED,
        ),
        "salvage-sold": _told("Record a sale of salvage"),
        "prove": Act(
            "Record the proof of claim as filed",
            "make-claim",
            stays(_LIVE),
            bars=(needs.needs_bankruptcy,),
            needs=(needs.needs_day, needs.needs_proof),
            unfit=_CLOSED,
        ),
        "offer": Act(
            "Record an offer",
            "make-claim",
            leads(_TALKING, OFFERED),
            needs=_ANSWER,
        ),
        "counter": Act(
            "Record our counter-offer",
            "settle-claim",
            leads((OFFERED, COUNTERED, DISALLOWED), COUNTERED),
            needs=_ANSWER,
        ),
        "accept": Act(
            "Record the agreement",
            "settle-claim",
            leads((OFFERED, COUNTERED), ACCEPTED),
            needs=_ANSWER,
        ),
        "refuse": Act(
            "Record our refusal",
            "settle-claim",
            leads((OFFERED, COUNTERED), RECEIVED, ACKNOWLEDGED, DISALLOWED),
            needs=_ANSWER,
        ),
        "disallow": Act(
            "Record the written denial",
            "make-claim",
            leads(_WITH_CARRIER, DISALLOWED),
            needs=(*_ANSWER, needs.needs_reason),
        ),
        "pay": Act(
            "Record a payment",
            "record-payment",
            stays(_OUT),
            needs=_SENT_DAY,
            unfit=_CLOSED,
        ),
        "reverse-payment": Act(
            "Reverse a payment",
            "record-payment",
            stays(_OUT),
            needs=(needs.needs_reason,),
            unfit=_CLOSED,
        ),
        "decide-payment": Act(
            "Decide what a payment settles",
            "settle-claim",
            {state: (state, SETTLED) for state in _OUT},
            needs=(needs.needs_day,),
            unfit=_CLOSED,
        ),
        "settle": Act(
            "Close as settled",
            "settle-claim",
            leads(_OUT, SETTLED),
            bars=(needs.needs_payment, needs.needs_decision),
            needs=(
                *_SENT_DAY,
                needs.not_before_receipt,
                needs.needs_reason_for_less,
            ),
        ),
        "give-up": Act(
            "Close as not pursued",
            "settle-claim",
            leads(_OUT, NOT_PURSUED),
            bars=(needs.needs_decision,),
            needs=(needs.needs_reason,),
        ),
        "hand-over": Act(
            "Close as handed to the supplier",
            "make-claim",
            leads((DRAFTED,), HANDED_OVER),
            bars=(needs.is_suppliers,),
            needs=(
                needs.needs_lines,
                needs.needs_day,
                needs.not_before_making,
                needs.needs_proof,
            ),
        ),
        "withdraw": Act(
            "Withdraw the claim",
            "make-claim",
            {DRAFTED: (WITHDRAWN,), **leads(_OUT, WITHDRAWING)},
            bars=(needs.needs_decision, needs.not_paid),
            needs=(needs.needs_reason,),
        ),
        "tell-withdrawal": Act(
            "Record the withdrawal letter as sent",
            "make-claim",
            leads((WITHDRAWING,), WITHDRAWN),
            needs=(*_SENT_DAY, needs.needs_proof),
        ),
        "reopen": Act(
            "Reopen the claim",
            "settle-claim",
            {
                **leads((SETTLED, NOT_PURSUED, WITHDRAWING), *_OUT),
                **leads((HANDED_OVER,), DRAFTED),
            },
            needs=(needs.needs_reason,),
        ),
        "build-packet": Act(
            "Make the claim file",
            "build-packet",
            stays((*_LIVE, SETTLED, NOT_PURSUED, HANDED_OVER)),
            needs=(needs.needs_lines,),
        ),
    },
)
