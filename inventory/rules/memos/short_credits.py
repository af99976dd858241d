"""The life of a short-paid credit: open until a person decides it.

Above the location's limit no one accepts a loss alone: accepting is refused and a
write-off needs a second person.
"""

from dataclasses import dataclass

from inventory.rules.deposits.postings import needs_second_person

OPEN = "open"
DISPUTED = "disputed"
WON = "won"
ACCEPTED = "accepted"
WRITTEN_OFF = "written-off"

STATES = (OPEN, DISPUTED, WON, ACCEPTED, WRITTEN_OFF)
LIVE = frozenset({OPEN, DISPUTED})


@dataclass(frozen=True)
class Act:
    """One act: where it may start, where it ends (None: no change), whether it needs a reason."""

    label: str
    starts: frozenset[str]
    ends: str | None
    needs_reason: bool = True


ACTS: dict[str, Act] = {
    "accept": Act("Accept the loss", frozenset({OPEN}), ACCEPTED),
    "dispute": Act("Dispute", frozenset({OPEN}), DISPUTED),
    "win": Act("Record the payment", LIVE, WON, needs_reason=False),
    "ask-write-off": Act("Ask for a write-off", LIVE, None),
    "approve-write-off": Act(
        "Approve the write-off", LIVE, WRITTEN_OFF, needs_reason=False
    ),
}

_STATE_WORDS = {
    OPEN: "This short-paid credit is still open.",
    DISPUTED: "This short-paid credit is already disputed.",
    WON: "The supplier has already paid this short-paid credit.",
    ACCEPTED: "The loss was already accepted.",
    WRITTEN_OFF: "This short-paid credit was already written off.",
}


@dataclass(frozen=True)
class ShortFacts:
    """The facts that the acts need about a short-paid credit, besides its state.

    ``asked_by`` and ``person`` are the keys of people; money is in cents.
    """

    cents: int
    currency: str
    limit: int
    limit_currency: str
    reason: str = ""
    person: int = 0
    asked_by: int | None = None

    @property
    def needs_two(self) -> bool:
        """Return whether this amount needs a second person."""
        return needs_second_person(
            self.cents,
            currency=self.currency,
            limit=self.limit,
            limit_currency=self.limit_currency,
        )


@dataclass(frozen=True)
class Decision:
    """The new state, or the one reason against the act. Exactly one is given."""

    new_state: str | None
    reason: str = ""

    @property
    def allowed(self) -> bool:
        """Return whether the act is possible."""
        return self.new_state is not None


def decide(state: str, act: str, facts: ShortFacts) -> Decision:
    """Return the state that ``act`` leads to from ``state``, or the reason against it.

    Raise KeyError for a state or an act that is not in the table.
    """
    rule = ACTS[act]
    if state not in rule.starts:
        return Decision(None, f"{_STATE_WORDS[state]} Nothing was changed.")
    if rule.needs_reason and not facts.reason.strip():
        return Decision(None, "Enter a short reason. Nothing was changed.")
    if against := _needs(act, facts):
        return Decision(None, f"{against} Nothing was changed.")
    return Decision(rule.ends or state)


def _needs(act: str, facts: ShortFacts) -> str:
    if act == "accept" and facts.needs_two:
        return (
            "This is more than one person may write off alone. Ask for a write-off; "
            "a second person must approve it."
        )
    if act != "approve-write-off":
        return ""
    if facts.asked_by is None:
        return "Nobody has asked for this write-off."
    if facts.asked_by == facts.person:
        return "You asked for this write-off. Another person must approve it."
    return ""


def acts_from(state: str) -> tuple[str, ...]:
    """Return the acts that may start in this state, in the table's order."""
    return tuple(name for name, act in ACTS.items() if state in act.starts)


def life_table() -> str:
    """Return the table of a short-paid credit's life as Markdown."""
    rows = ["| act | from | to |", "|---|---|---|"]
    for act in ACTS.values():
        starts = ", ".join(state for state in STATES if state in act.starts)
        rows.append(f"| {act.label} | {starts} | {act.ends or 'stays'} |")
    return "\n".join(rows)
