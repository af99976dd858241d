"""The life of a reusable crate: which act is possible in which state, and to where.

One table, read by the actions, by the pages and by the tests that walk every cell.
One-way crates have no life here; their end is a disposal.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.rules.crates.words import CRATE_STATES, DISPOSALS

CHECKED = ("complete", "incomplete", "damaged")
"""What a check against the parts list can come to."""

ON_GROUND = ("emptied", *CHECKED)
"""Empty, in the yard, on no return: what a crate can fall back to."""


@dataclass(frozen=True)
class Act:
    """One act: for each state in which it may start, the states it may lead to."""

    label: str
    ends: Mapping[str, tuple[str, ...]]


def _from(starts: tuple[str, ...], *ends: str) -> dict[str, tuple[str, ...]]:
    return dict.fromkeys(starts, ends)


ACTS: dict[str, Act] = {
    "follow": Act("Follow as reusable", _from(("",), "full")),
    "unfollow": Act("Stop following", _from(("full", "emptied"), "")),
    "retype": Act(
        "Say which type it is",
        _from(("full",), "full") | _from(ON_GROUND, "emptied"),
    ),
    "empty": Act("Record as emptied", _from(("full",), "emptied")),
    "check": Act("Check against the parts list", _from(ON_GROUND, *CHECKED)),
    "stage": Act("Stage for the truck", _from(CHECKED, "staged")),
    "unstage": Act("Take off the return", _from(("staged",), *CHECKED)),
    "ship": Act("Ship back", _from(("staged",), "shipped")),
    "credit": Act(
        "Credit in full", _from(("shipped", "lost", "short-credited"), "credited")
    ),
    "credit-short": Act("Credit short", _from(("shipped", "lost"), "short-credited")),
    "lose": Act("Record as lost on the way back", _from(("shipped",), "lost")),
    "forfeit": Act(
        "Forfeit the deposit",
        _from(("full", *ON_GROUND), "forfeited") | {"scrapped": ("scrapped",)},
    ),
    "scrap": Act("Scrap", _from((*ON_GROUND, "forfeited"), "scrapped")),
    "reinstate": Act(
        "Put back after a mistake",
        _from(("credited", "short-credited", "lost"), "shipped")
        | _from(("forfeited",), "full", *ON_GROUND)
        | _from(("scrapped",), *ON_GROUND, "forfeited"),
    ),
}

HELD_BACK = frozenset({"check", "stage", "ship", "scrap"})
"""What a packaging hold forbids: the crate would not stay as it was found."""

HELD = (
    "The packaging is on hold: it stays as it was found until the carrier has "
    "inspected or waived in writing, or the manager releases it."
)

_STATE_WORDS = {
    "": "This crate is not followed: it is one-way, or it was refused.",
    "full": "The machine is still in it. Empty it first.",
    "emptied": "It was not checked against its parts list yet. Check it first.",
    "complete": "It stands here checked and complete.",
    "incomplete": "It stands here checked, with parts missing.",
    "damaged": "It stands here checked, with damage.",
    "staged": "It is staged for a truck. Take it off the return first.",
    "shipped": "It was shipped back and waits for its credit.",
    "credited": "It is credited already.",
    "short-credited": "It is credited already, less than expected.",
    "lost": "It was lost on the way back.",
    "forfeited": "Its deposit is forfeited.",
    "scrapped": "It was scrapped.",
}

_UNFIT = {
    ("full", "unstage"): "It is on no return.",
    ("full", "credit"): "It was not shipped back.",
    ("full", "credit-short"): "It was not shipped back.",
    ("full", "lose"): "It was not shipped back.",
    ("full", "follow"): "It is followed already.",
    ("full", "reinstate"): "There is nothing to put back.",
    ("emptied", "empty"): "It was emptied before.",
    ("staged", "stage"): "It is staged already.",
    ("staged", "credit"): "It was not shipped back yet.",
    ("staged", "credit-short"): "It was not shipped back yet.",
    ("staged", "lose"): "It was not shipped back yet.",
}
"""A sharper sentence than the state's own, where the act has missed the mark."""


@dataclass(frozen=True)
class Verdict:
    """Where the act leads, or the one reason against it. Exactly one is given."""

    new_state: str | None
    reason: str = ""

    @property
    def allowed(self) -> bool:
        """Say whether the act is possible."""
        return self.new_state is not None


def decide(state: str, act: str, *, to: str = "", is_held: bool = False) -> Verdict:
    """Say where ``act`` leads a crate in ``state``, or what stands against it.

    ``to`` chooses among several ends, as the result of a check does. ``is_held``
    says whether the packaging is on hold. Raises KeyError for a state or an act that
    is not in the table, and ValueError for an end that the cell does not offer.
    """
    ends = ACTS[act].ends.get(state)
    if ends is None:
        against = _UNFIT.get((state, act), _STATE_WORDS[state])
        return Verdict(None, f"{against} Nothing was changed.")
    if is_held and act in HELD_BACK:
        return Verdict(None, f"{HELD} Nothing was changed.")
    if not to and len(ends) == 1:
        return Verdict(ends[0])
    if to not in ends:
        raise ValueError(f"{act} leads from {state} to {ends}, not to {to!r}.")
    return Verdict(to)


def acts_from(state: str, *, is_held: bool = False) -> tuple[str, ...]:
    """Return the acts that may start in this state, in the table's order."""
    return tuple(
        name
        for name, act in ACTS.items()
        if state in act.ends and not (is_held and name in HELD_BACK)
    )


@dataclass(frozen=True)
class PartFound:
    """How many pieces of one part should be there, are missing, and are damaged."""

    name: str
    count: int
    missing: int = 0
    damaged: int = 0


def result_of(parts: tuple[PartFound, ...]) -> str:
    """Return what a check comes to: incomplete goes before damaged.

    A crate without a parts list is complete as it stands. Raises ValueError where
    more is missing and damaged than there should be pieces.
    """
    for part in parts:
        if part.missing + part.damaged > part.count:
            raise ValueError(
                f"{part.name}: {part.missing} missing and {part.damaged} damaged are "
                f"more than the {part.count} there should be."
            )
    if any(part.missing for part in parts):
        return "incomplete"
    return "damaged" if any(part.damaged for part in parts) else "complete"


def found_in_words(parts: tuple[PartFound, ...]) -> str:
    """Return what is wrong, part by part: "1 panel missing, 2 brackets damaged"."""
    words = [
        f"{number} {part.name} {what}"
        for part in parts
        for number, what in ((part.missing, "missing"), (part.damaged, "damaged"))
        if number
    ]
    return ", ".join(words)


@dataclass(frozen=True)
class DisposalFacts:
    """What the disposal of a one-way crate asks about it."""

    kind: str
    is_opened: bool
    is_refused: bool
    disposal: str = ""
    is_held: bool = False


def why_not_dispose(facts: DisposalFacts) -> str:
    """Return the sentence against disposing of this crate, or the empty text."""
    if facts.kind != "one-way":
        against = (
            "A reusable crate is scrapped, not disposed of: its deposit is at stake."
        )
    elif facts.is_refused:
        against = "It was refused: it is not ours to dispose of."
    elif not facts.is_opened:
        against = "It was not opened yet. Open it and take the machine out first."
    elif facts.disposal:
        against = f"It was disposed of before: {DISPOSALS[facts.disposal].lower()}."
    elif facts.is_held:
        against = HELD
    else:
        return ""
    return f"{against} Nothing was changed."


def next_step(state: str, *, is_held: bool = False) -> str:
    """Return the one sentence that says what must happen next with the crate."""
    if is_held and state in ("full", *ON_GROUND):
        return "Keep it as it is until the carrier has inspected or waived"
    return {
        "": "Nothing: it is not followed",
        "full": "Take the machine out, then record it as emptied",
        "emptied": "Check it against its parts list",
        "complete": "Stage it for the next truck back",
        "incomplete": "Find the missing parts and check again, or send it as it is",
        "damaged": "Mend it and check again, or send it as it is",
        "staged": "Load it when the truck comes",
        "shipped": "Wait for the supplier's credit memo",
        "credited": "Nothing: credited",
        "short-credited": "Explain or dispute what is missing from the credit",
        "lost": "Claim the loss from the carrier that took it",
        "forfeited": "It is ours: use it or scrap it",
        "scrapped": "Nothing: scrapped",
    }[state]


def life_table() -> str:
    """Return the whole table, acts by states, as Markdown."""
    rows = ["| act | from | to |", "|---|---|---|"]
    for act in ACTS.values():
        by_ends: dict[tuple[str, ...], list[str]] = {}
        for state in CRATE_STATES:
            if state in act.ends:
                by_ends.setdefault(act.ends[state], []).append(state)
        for ends, starts in by_ends.items():
            left = ", ".join(state or "not followed" for state in starts)
            right = " or ".join(state or "not followed" for state in ends)
            rows.append(f"| {act.label} | {left} | {right} |")
    return "\n".join(rows)
