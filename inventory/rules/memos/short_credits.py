"""The life of a short credit: money a deposit did not bring, until it is decided.

A short credit is open until a person explains it. Above the location's limit no
one gives it up alone: accepting is refused and a write-off needs a second person.
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
    """One act: where it may start, where it ends (None: stays), its need of words."""

    label: str
    starts: frozenset[str]
    ends: str | None
    needs_reason: bool = True


ACTS: dict[str, Act] = {
    "accept": Act("Accept it", frozenset({OPEN}), ACCEPTED),
    "dispute": Act("Dispute it", frozenset({OPEN}), DISPUTED),
    "win": Act("Record that it was paid", LIVE, WON, needs_reason=False),
    "ask-write-off": Act("Ask to write it off", LIVE, None),
    "approve-write-off": Act("Write it off", LIVE, WRITTEN_OFF, needs_reason=False),
}

_STATE_WORDS = {
    OPEN: "This difference is still to be explained.",
    DISPUTED: "This difference is disputed already.",
    WON: "The supplier has paid this difference.",
    ACCEPTED: "This difference was accepted.",
    WRITTEN_OFF: "This difference was written off.",
}


@dataclass(frozen=True)
class ShortFacts:
    """What the acts ask about a short credit beside its state.

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
        """Say whether one person may not give this amount up alone."""
        return needs_second_person(
            self.cents,
            currency=self.currency,
            limit=self.limit,
            limit_currency=self.limit_currency,
        )


@dataclass(frozen=True)
class Decision:
    """Where the act leads, or the one reason against it. Exactly one is given."""

    new_state: str | None
    reason: str = ""

    @property
    def allowed(self) -> bool:
        """Say whether the act is possible."""
        return self.new_state is not None


def decide(state: str, act: str, facts: ShortFacts) -> Decision:
    """Say where ``act`` leads a short credit, or what stands against it.

    Raises KeyError for a state or an act that is not in the table.
    """
    rule = ACTS[act]
    if state not in rule.starts:
        return Decision(None, f"{_STATE_WORDS[state]} Nothing was changed.")
    if rule.needs_reason and not facts.reason.strip():
        return Decision(None, "Say why in a few words. Nothing was changed.")
    if against := _needs(act, facts):
        return Decision(None, f"{against} Nothing was changed.")
    return Decision(rule.ends or state)


def _needs(act: str, facts: ShortFacts) -> str:
    if act == "accept" and facts.needs_two:
        return (
            "This is more than one person may give up here. Ask to write it off, "
            "and a second person agrees."
        )
    if act != "approve-write-off":
        return ""
    if facts.asked_by is None:
        return "Nobody has asked to write this off."
    if facts.asked_by == facts.person:
        return "You asked for this write-off, so another person must agree to it."
    return ""


def acts_from(state: str) -> tuple[str, ...]:
    """Return the acts that may start in this state, in the table's order."""
    return tuple(name for name, act in ACTS.items() if state in act.starts)


def life_table() -> str:
    """Return the table of a short credit's life as Markdown."""
    rows = ["| act | from | to |", "|---|---|---|"]
    for act in ACTS.values():
        starts = ", ".join(state for state in STATES if state in act.starts)
        rows.append(f"| {act.label} | {starts} | {act.ends or 'stays'} |")
    return "\n".join(rows)
