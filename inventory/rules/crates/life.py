"""The life of a reusable crate: which act is possible in which state, and its result.

One table, read by the actions, by the pages and by the tests that walk every cell.
One-way crates have no life here; they end with a disposal.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.rules.crates.words import CRATE_STATES, DISPOSALS

CHECKED = ("complete", "incomplete", "damaged")
"""The possible results of a check against the parts list."""

ON_GROUND = ("emptied", *CHECKED)
"""Empty, in the yard, not on a return: the states a crate can go back to."""


@dataclass(frozen=True)
class Act:
    """One act: for each state in which it may start, the states it may lead to."""

    label: str
    ends: Mapping[str, tuple[str, ...]]


def _from(starts: tuple[str, ...], *ends: str) -> dict[str, tuple[str, ...]]:
    return dict.fromkeys(starts, ends)


ACTS: dict[str, Act] = {
    "follow": Act("Track as reusable", _from(("",), "full")),
    "unfollow": Act("Stop tracking", _from(("full", "emptied"), "")),
    "retype": Act(
        "Set the crate type",
        _from(("full",), "full") | _from(ON_GROUND, "emptied"),
    ),
    "empty": Act("Record as empty", _from(("full",), "emptied")),
    "check": Act("Check against the parts list", _from(ON_GROUND, *CHECKED)),
    "stage": Act("Stage", _from(CHECKED, "staged")),
    "unstage": Act("Take off the return", _from(("staged",), *CHECKED)),
    "ship": Act("Ship back", _from(("staged",), "shipped")),
    "credit": Act(
        "Credit in full", _from(("shipped", "lost", "short-credited"), "credited")
    ),
    "credit-short": Act("Credit short", _from(("shipped", "lost"), "short-credited")),
    "lose": Act("Record as lost in return transit", _from(("shipped",), "lost")),
    "forfeit": Act(
        "Forfeit the deposit",
        _from(("full", *ON_GROUND), "forfeited") | {"scrapped": ("scrapped",)},
    ),
    "scrap": Act("Scrap", _from((*ON_GROUND, "forfeited"), "scrapped")),
    "reinstate": Act(
        "Undo a mistake",
        _from(("credited", "short-credited", "lost"), "shipped")
        | _from(("forfeited",), "full", *ON_GROUND)
        | _from(("scrapped",), *ON_GROUND, "forfeited"),
    ),
}

HELD_BACK = frozenset({"check", "stage", "ship", "scrap"})
"""Acts that a packaging hold forbids, because they would change the evidence."""

HELD = (
    "The packaging is on hold. Leave it as found until the carrier has inspected it "
    "or waived inspection in writing, or the manager releases it."
)

_STATE_WORDS = {
    "": "This crate is not tracked: it is one-way, or it was refused.",
    "full": "The machine is still in it. Record the crate as empty first.",
    "emptied": "It has not been checked against its parts list. Check it first.",
    "complete": "It is in the yard, checked and complete.",
    "incomplete": "It is in the yard, checked, with parts missing.",
    "damaged": "It is in the yard, checked and damaged.",
    "staged": "It is staged on a return. Take it off the return first.",
    "shipped": "It was shipped back and its credit is still open.",
    "credited": "It is already credited.",
    "short-credited": "It is already credited, short of what was expected.",
    "lost": "It was lost in return transit.",
    "forfeited": "Its deposit was forfeited.",
    "scrapped": "It was scrapped.",
}

_UNFIT = {
    ("full", "unstage"): "It is not on a return.",
    ("full", "credit"): "It has not been shipped back.",
    ("full", "credit-short"): "It has not been shipped back.",
    ("full", "lose"): "It has not been shipped back.",
    ("full", "follow"): "It is already tracked.",
    ("full", "reinstate"): "There is nothing to undo.",
    ("emptied", "empty"): "It is already empty.",
    ("staged", "stage"): "It is already staged.",
    ("staged", "credit"): "It has not been shipped back yet.",
    ("staged", "credit-short"): "It has not been shipped back yet.",
    ("staged", "lose"): "It has not been shipped back yet.",
}
"""A more specific reason than the state's own, for the cells that need one."""


@dataclass(frozen=True)
class Verdict:
    """The new state, or the one reason against the act. Exactly one is given."""

    new_state: str | None
    reason: str = ""

    @property
    def allowed(self) -> bool:
        """Return whether the act is possible."""
        return self.new_state is not None


def decide(state: str, act: str, *, to: str = "", is_held: bool = False) -> Verdict:
    """Return the state that ``act`` leads to from ``state``, or the reason against it.

    ``to`` chooses among several results, such as those of a check. ``is_held`` is
    True while the packaging is on hold. Raise KeyError for a state or an act that is
    not in the table, and ValueError for a result that the cell does not offer.
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
    """One part of a crate: how many are required, missing and damaged."""

    name: str
    count: int
    missing: int = 0
    damaged: int = 0


def result_of(parts: tuple[PartFound, ...]) -> str:
    """Return the result of a check: incomplete outranks damaged.

    A crate without a parts list is complete. Raise ValueError where more are missing
    and damaged than required.
    """
    for part in parts:
        if part.missing + part.damaged > part.count:
            raise ValueError(
                f"{part.name}: {part.count} required, but {part.missing} missing and "
                f"{part.damaged} damaged entered."
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
    """The facts needed to decide whether a one-way crate can be disposed of."""

    kind: str
    is_opened: bool
    is_refused: bool
    disposal: str = ""
    is_held: bool = False


def why_not_dispose(facts: DisposalFacts) -> str:
    """Return the reason against disposing of this crate, or the empty text."""
    if facts.kind != "one-way":
        against = (
            "This crate is reusable and on deposit. Scrap it instead of disposing "
            "of it."
        )
    elif facts.is_refused:
        against = "It was refused, so it is not ours to dispose of."
    elif not facts.is_opened:
        against = "It has not been opened. Open it and take the machine out first."
    elif facts.disposal:
        against = f"It was already disposed of: {DISPOSALS[facts.disposal].lower()}."
    elif facts.is_held:
        against = HELD
    else:
        return ""
    return f"{against} Nothing was changed."


def next_step(state: str, *, is_held: bool = False) -> str:
    """Return the next thing to do with the crate, as one sentence."""
    if is_held and state in ("full", *ON_GROUND):
        return "Leave it as found until the carrier inspects or waives"
    return {
        "": "Not tracked. Nothing to do.",
        "full": "Take the machine out, then record the crate as empty",
        "emptied": "Check it against its parts list",
        "complete": "Stage it for the next return",
        "incomplete": "Find the missing parts and check again, or return it as it is",
        "damaged": "Repair it and check again, or return it as it is",
        "staged": "Load it when the truck arrives",
        "shipped": "Wait for the supplier's credit memo",
        "credited": "Credited. Nothing to do.",
        "short-credited": "Accept or dispute the short-paid credit",
        "lost": "Claim the loss from the return carrier",
        "forfeited": "Use it or scrap it; it is ours now",
        "scrapped": "Scrapped. Nothing to do.",
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
            left = ", ".join(state or "not tracked" for state in starts)
            right = " or ".join(state or "not tracked" for state in ends)
            rows.append(f"| {act.label} | {left} | {right} |")
    return "\n".join(rows)
