"""The life of a reusable crate: which act is possible in which state, and its result.

One-way crates have no life here; their end is a disposal.
"""

from dataclasses import dataclass

from inventory.rules.core.life import Act, Life, State, leads, stays
from inventory.rules.crates.words import CRATE_STATES, DISPOSALS, READY

ON_GROUND = ("emptied", *READY)
"""Empty, in the yard, on no return: what a crate can fall back to."""

HELD = (
    "The packaging is on hold. Leave it as found until the carrier has inspected it "
    "or waived inspection in writing, or the manager releases it."
)


@dataclass(frozen=True)
class CrateFacts:
    """The facts of a crate, besides its state, that its acts depend on.

    ``is_held`` says whether its packaging is on hold, ``is_opened`` whether it was
    opened; ``reason`` is what the person wrote.
    """

    is_held: bool = False
    is_opened: bool = True
    reason: str = ""


def _not_held(facts: CrateFacts) -> str:
    """Forbid what would change the crate: it stays as it was found."""
    return HELD if facts.is_held else ""


def _opened(facts: CrateFacts) -> str:
    return (
        "" if facts.is_opened else "It has not been opened. Open it first, with photos."
    )


def _scrapped_for(facts: CrateFacts) -> str:
    return "" if facts.reason.strip() else "Enter why it is scrapped."


def _keep_it(facts: CrateFacts) -> str:
    if not facts.is_held:
        return ""
    return "Leave it as found until the carrier inspects or waives"


_NOT_GONE = "It has not been shipped back."
_NOT_GONE_YET = "It has not been shipped back yet."

LIFE: Life[CrateFacts] = Life(
    states={
        "": State(
            CRATE_STATES[""],
            "This crate is not tracked: it is one-way, or it was refused.",
            "Not tracked. Nothing to do",
            tone="plain",
            is_final=True,
        ),
        "full": State(
            CRATE_STATES["full"],
            "The machine is still in it. Record the crate as empty first.",
            "Take the machine out, then record the crate as empty",
            instead=(_keep_it,),
        ),
        "emptied": State(
            CRATE_STATES["emptied"],
            "It has not been checked against its parts list. Check it first.",
            "Check it against its parts list",
            instead=(_keep_it,),
        ),
        "complete": State(
            CRATE_STATES["complete"],
            "It is in the yard, checked and complete.",
            "Stage it for the next return",
            instead=(_keep_it,),
        ),
        "incomplete": State(
            CRATE_STATES["incomplete"],
            "It is in the yard, checked, with parts missing.",
            "Find the missing parts and check again, or return it as it is",
            instead=(_keep_it,),
        ),
        "damaged": State(
            CRATE_STATES["damaged"],
            "It is in the yard, checked and damaged.",
            "Repair it and check again, or return it as it is",
            instead=(_keep_it,),
        ),
        "staged": State(
            CRATE_STATES["staged"],
            "It is staged on a return. Take it off the return first.",
            "Load it when the truck arrives",
        ),
        "shipped": State(
            CRATE_STATES["shipped"],
            "It was shipped back and its credit is still open.",
            "Wait for the supplier's credit memo",
        ),
        "credited": State(
            CRATE_STATES["credited"],
            "It is already credited.",
            "Credited. Nothing to do",
            tone="kept",
            is_final=True,
        ),
        "short-credited": State(
            CRATE_STATES["short-credited"],
            "It is already credited, short of what was expected.",
            "Accept or dispute the short-paid credit",
            tone="late",
        ),
        "lost": State(
            CRATE_STATES["lost"],
            "It was lost in return transit.",
            "Claim the loss from the return carrier",
            tone="late",
        ),
        "forfeited": State(
            CRATE_STATES["forfeited"],
            "Its deposit was forfeited.",
            "Use it or scrap it; it is ours now",
        ),
        "scrapped": State(
            CRATE_STATES["scrapped"],
            "It was scrapped.",
            "Scrapped. Nothing to do",
            tone="plain",
            is_final=True,
        ),
    },
    acts={
        "follow": Act(
            "Track as reusable",
            "complete-papers",
            leads(("",), "full"),
            unfit={"full": "It is already tracked."},
        ),
        "unfollow": Act(
            "Stop tracking", "complete-papers", leads(("full", "emptied"), "")
        ),
        "retype": Act(
            "Set the crate type",
            "keep-crates",
            stays(("full",)) | leads(ON_GROUND, "emptied"),
        ),
        "empty": Act(
            "Record as empty",
            "keep-crates",
            leads(("full",), "emptied"),
            bars=(_opened,),
            unfit={"emptied": "It is already empty."},
        ),
        "check": Act(
            "Check against the parts list",
            "keep-crates",
            leads(ON_GROUND, *READY),
            bars=(_not_held,),
        ),
        "stage": Act(
            "Stage",
            "ship-crates",
            leads(READY, "staged"),
            bars=(_not_held,),
            unfit={"staged": "It is already staged."},
        ),
        "unstage": Act(
            "Take off the return",
            "ship-crates",
            leads(("staged",), *READY),
            unfit={"full": "It is not on a return."},
        ),
        "ship": Act(
            "Ship back",
            "ship-crates",
            leads(("staged",), "shipped"),
            bars=(_not_held,),
        ),
        "credit": Act(
            "Credit in full",
            "post-deposits",
            leads(("shipped", "short-credited", "lost"), "credited"),
            unfit={"full": _NOT_GONE, "staged": _NOT_GONE_YET},
        ),
        "credit-short": Act(
            "Credit short",
            "post-deposits",
            leads(("shipped", "lost"), "short-credited"),
            unfit={"full": _NOT_GONE, "staged": _NOT_GONE_YET},
        ),
        "lose": Act(
            "Record as lost in return transit",
            "post-deposits",
            leads(("shipped",), "lost"),
            unfit={"full": _NOT_GONE, "staged": _NOT_GONE_YET},
        ),
        "forfeit": Act(
            "Forfeit the deposit",
            "post-deposits",
            leads(("full", *ON_GROUND), "forfeited") | stays(("scrapped",)),
        ),
        "scrap": Act(
            "Scrap",
            "keep-crates",
            leads((*ON_GROUND, "forfeited"), "scrapped"),
            bars=(_not_held,),
            needs=(_scrapped_for,),
        ),
        "reinstate": Act(
            "Undo a mistake",
            "post-deposits",
            leads(("credited",), "shipped", "short-credited", "lost")
            | leads(("short-credited",), "shipped", "lost")
            | leads(("lost",), "shipped")
            | leads(("forfeited",), "full", *ON_GROUND)
            | leads(("scrapped",), *ON_GROUND, "forfeited"),
            unfit={"full": "There is nothing to undo."},
        ),
    },
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
