"""The life of a return: empties staged, shipped, received, credited and closed."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.rules.core.life import Act, Life, State, leads, stays
from inventory.rules.crates.words import RETURN_STATES
from inventory.rules.reckoning.measures import Mass, format_exact, format_figure

STAGING = "staging"
SHIPPED = "shipped"
RECEIVED = "received"
CLOSED = "closed"
CANCELLED = "cancelled"

_UNDER_WAY = (SHIPPED, RECEIVED)


@dataclass(frozen=True)
class ReturnFacts:
    """The facts that the acts need about a return, besides its state.

    ``crates`` are those staged on it and not taken off; ``unsettled`` those whose
    credit is neither paid, decided nor lost; ``waiting`` those that no credit memo has
    named yet. The supplier's terms say whether it wants an authorization and an
    appointment.
    """

    crates: int = 0
    unsettled: int = 0
    waiting: int = 0
    needs_authorization: bool = False
    authorization: str = ""
    needs_appointment: bool = False
    appointment: str = ""


def _all_settled(facts: ReturnFacts) -> str:
    count = facts.unsettled
    if not count:
        return ""
    return f"{count} of its crates still {'waits for its' if count == 1 else 'wait for their'} credit."


def _has_crates(facts: ReturnFacts) -> str:
    return "" if facts.crates else "No crate is staged on it. Stage crates first."


def _authorized(facts: ReturnFacts) -> str:
    if facts.authorization or not facts.needs_authorization:
        return ""
    return (
        "The supplier takes nothing back without its authorization. "
        "Enter the authorization number on the return first."
    )


def _has_appointment(facts: ReturnFacts) -> str:
    if facts.appointment or not facts.needs_appointment:
        return ""
    return (
        "The supplier takes nothing back without an appointment. "
        "Enter the appointment on the return first."
    )


def _load_it(facts: ReturnFacts) -> str:
    return "Load it when the truck arrives" if facts.crates else ""


def _decide_rest(facts: ReturnFacts) -> str:
    return "" if facts.waiting else "Decide what the memo left short-paid"


LIFE: Life[ReturnFacts] = Life(
    states={
        STAGING: State(
            RETURN_STATES[STAGING],
            "This return has not been shipped yet.",
            "Stage crates on it",
            instead=(_load_it,),
        ),
        SHIPPED: State(
            RETURN_STATES[SHIPPED],
            "This return was already shipped.",
            "Wait for the supplier to receive it and send its credit memo",
            instead=(_decide_rest,),
        ),
        RECEIVED: State(
            RETURN_STATES[RECEIVED],
            "The supplier already received this return.",
            "Wait for the supplier's credit memo",
            instead=(_decide_rest,),
        ),
        CLOSED: State(
            RETURN_STATES[CLOSED],
            "This return is credited and closed.",
            "Credited. Nothing to do",
            tone="kept",
            is_final=True,
        ),
        CANCELLED: State(
            RETURN_STATES[CANCELLED],
            "This return was canceled.",
            "Canceled. Nothing to do",
            tone="plain",
            is_final=True,
        ),
    },
    acts={
        "change": Act("Change the return", "ship-crates", stays((STAGING,))),
        "stage": Act("Stage crates", "ship-crates", stays((STAGING,))),
        "take-off": Act("Take off a crate", "ship-crates", stays((STAGING,))),
        "ship": Act(
            "Ship return",
            "ship-crates",
            leads((STAGING,), SHIPPED),
            needs=(_has_crates, _authorized, _has_appointment),
        ),
        "receive": Act(
            "Record supplier receipt", "ship-crates", leads((SHIPPED,), RECEIVED)
        ),
        "lose": Act("Record a lost crate", "post-deposits", stays(_UNDER_WAY)),
        "close": Act(
            "Close return",
            "post-deposits",
            leads(_UNDER_WAY, CLOSED),
            needs=(_all_settled,),
        ),
        "reopen": Act(
            "Reopen with an undone credit",
            "post-deposits",
            leads((CLOSED,), *_UNDER_WAY),
        ),
        "cancel": Act("Cancel return", "ship-crates", leads((STAGING,), CANCELLED)),
    },
)


def minimum_words(crates: int, minimum: int) -> str:
    """Return the warning for a load below the supplier's minimum, or nothing."""
    if crates >= minimum:
        return ""
    return (
        f"The supplier picks up no fewer than {minimum} crates; this return has "
        f"{crates}."
    )


def count_words(listed: int, signed: int | None) -> str:
    """Return the driver's count against ours; nothing where they agree.

    The difference is recorded and never stops a truck.
    """
    if signed is None or signed == listed:
        return ""
    return f"The driver signed for {signed}; we list {listed}."


@dataclass(frozen=True)
class Weights:
    """The weight of a load: its total as stated, and how many crates lack one."""

    total: str
    unknown: int

    @property
    def words(self) -> str:
        """Return the total with what it leaves out."""
        if not self.unknown:
            return self.total or "0 lb"
        lacking = f"{self.unknown} crate{'' if self.unknown == 1 else 's'} not weighed"
        return f"{self.total} and {lacking}" if self.total else lacking


def total_weight(masses: Iterable[Mass | None]) -> Weights:
    """Add the masses of the crates; None is a crate whose weight is not known.

    One unit is kept as stated. Mixed units are added exactly, in pounds, and
    printed to a tenth.
    """
    rows = list(masses)
    known = [row for row in rows if row is not None]
    units = {row.unit for row in known}
    if not known:
        return Weights("", len(rows))
    if len(units) == 1:
        summed = sum((row.amount for row in known), Decimal(0))
        return Weights(f"{format_figure(summed)} {units.pop()}", len(rows) - len(known))
    pounds = sum((row.pounds for row in known), Fraction(0))
    return Weights(f"{format_exact(pounds, 1)} lb", len(rows) - len(known))
