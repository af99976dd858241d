"""The life of a return: empties staged, shipped, received, credited and closed.

One table, read by the actions, by the pages and by the test that walks every cell.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.rules.reckoning.measures import Mass, format_exact, format_figure

STAGING = "staging"
SHIPPED = "shipped"
RECEIVED = "received"
CLOSED = "closed"
CANCELLED = "cancelled"

STATES = (STAGING, SHIPPED, RECEIVED, CLOSED, CANCELLED)
UNDER_WAY = frozenset({SHIPPED, RECEIVED})
FINAL = frozenset({CLOSED, CANCELLED})


@dataclass(frozen=True)
class Act:
    """One act: where it may start, and where it ends (None: stays)."""

    label: str
    starts: frozenset[str]
    ends: str | None


_BEGUN = frozenset({STAGING})

ACTS: dict[str, Act] = {
    "change": Act("Change the plan", _BEGUN, None),
    "stage": Act("Stage crates", _BEGUN, None),
    "take-off": Act("Take a crate off", _BEGUN, None),
    "ship": Act("Ship it", _BEGUN, SHIPPED),
    "receive": Act("Record its receipt", frozenset({SHIPPED}), RECEIVED),
    "lose": Act("Record a crate as lost", UNDER_WAY, None),
    "close": Act("Close it", UNDER_WAY, CLOSED),
    "cancel": Act("Cancel it", _BEGUN, CANCELLED),
}

_STATE_WORDS = {
    STAGING: "This return has not left yet.",
    SHIPPED: "This return has left already.",
    RECEIVED: "The supplier has received this return already.",
    CLOSED: "This return is credited and closed.",
    CANCELLED: "This return was cancelled.",
}


@dataclass(frozen=True)
class Decision:
    """Where the act leads, or the one reason against it. Exactly one is given."""

    new_state: str | None
    reason: str = ""

    @property
    def allowed(self) -> bool:
        """Say whether the act is possible."""
        return self.new_state is not None


@dataclass(frozen=True)
class ReturnFacts:
    """What the acts ask about a return beside its state.

    ``crates`` are those staged on it and not taken off; ``unsettled`` those whose
    credit is neither paid, decided nor lost. The supplier's terms say whether it
    wants an authorization, an appointment and a least number of crates.
    """

    crates: int = 0
    unsettled: int = 0
    needs_authorization: bool = False
    authorization: str = ""
    needs_appointment: bool = False
    appointment: str = ""


def decide(state: str, act: str, facts: ReturnFacts) -> Decision:
    """Say where ``act`` leads a return in ``state``, or what stands against it.

    Raises KeyError for a state or an act that is not in the table.
    """
    rule = ACTS[act]
    if state not in rule.starts:
        return Decision(None, f"{_STATE_WORDS[state]} Nothing was changed.")
    if against := _needs(act, facts):
        return Decision(None, f"{against} Nothing was changed.")
    return Decision(rule.ends or state)


def _needs(act: str, facts: ReturnFacts) -> str:
    if act == "close" and facts.unsettled:
        return f"{facts.unsettled} of its crates still wait for their credit."
    if act != "ship":
        return ""
    if not facts.crates:
        return "No crate is staged on it. Stage crates first."
    if facts.needs_authorization and not facts.authorization:
        return (
            "The supplier takes nothing back without its authorization. "
            "Write its number on the return first."
        )
    if facts.needs_appointment and not facts.appointment:
        return (
            "The supplier takes nothing back without an appointment. "
            "Write it on the return first."
        )
    return ""


def acts_from(state: str) -> tuple[str, ...]:
    """Return the acts that may start in this state, in the table's order."""
    return tuple(name for name, act in ACTS.items() if state in act.starts)


def next_step(state: str, *, crates: int = 0, waiting: int = 0) -> str:
    """Return the one sentence that says what must happen next.

    ``waiting`` are the crates that no credit memo has named yet.
    """
    if state == STAGING:
        return "Load it when the truck comes" if crates else "Stage crates on it"
    if state in UNDER_WAY and not waiting:
        return "Decide the differences that its memo left"
    return {
        SHIPPED: "Wait for the supplier's receipt and its credit memo",
        RECEIVED: "Wait for the supplier's credit memo",
        CLOSED: "Nothing: credited",
        CANCELLED: "Nothing: cancelled",
    }[state]


def minimum_words(crates: int, minimum: int) -> str:
    """Return the warning for a load below the supplier's least, or nothing."""
    if crates >= minimum:
        return ""
    return (
        f"The supplier fetches no fewer than {minimum} crates; "
        f"{crates} {'is' if crates == 1 else 'are'} on this return."
    )


def count_words(listed: int, signed: int | None) -> str:
    """Return how the driver's count stands against ours; nothing where they agree.

    A difference is recorded and never stops a truck.
    """
    if signed is None or signed == listed:
        return ""
    return f"The driver signed for {signed}, we list {listed}."


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

    One unit stays as it is stated. Mixed units are added exactly, in pounds, and
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


def life_table() -> str:
    """Return the table of a return's life as Markdown."""
    rows = ["| act | from | to |", "|---|---|---|"]
    for act in ACTS.values():
        starts = ", ".join(state for state in STATES if state in act.starts)
        rows.append(f"| {act.label} | {starts} | {act.ends or 'stays'} |")
    return "\n".join(rows)
