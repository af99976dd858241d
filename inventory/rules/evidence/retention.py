"""How long each kind of record is kept, who may end it, and by what law.

Nothing of the trade is deleted while a house stands; what the law asks for is how long
the whole house must be kept once its doors are closed. A legal hold outranks every
span. The statutes are cited from memory, and say nothing for states and countries
other than those named; 49 CFR 379 and 371.3 bind carriers and brokers, not a dealer.
"""

import datetime as dt
from dataclasses import dataclass

from inventory.rules.reckoning.periods import add_months

NOBODY = "Nobody"
KEEPER = "Whoever runs the machine, after an administrator agreed"
PROGRAM = "The program, by itself"
OWN = "The person, or an administrator"

PRACTICE = "Common practice, no source"
OURS = "How this program is made"

TAX = (
    "26 CFR 1.6001-1(e): as long as they may matter to a tax; 26 U.S.C. 6511(d)(1): "
    "7 years for a bad debt (from memory)"
)
SALE = "UCC 2-725(1): 4 years to sue on a sale (from memory)"
SUIT = (
    "49 U.S.C. 14706(e)(1): no less than 2 years to sue after the written denial; "
    "contract law may give longer, often 4 to 6 years (from memory)"
)
SIGNED = (
    "15 U.S.C. 7001(d)(1): a record kept electronically must stay exact and readable "
    "(from memory)"
)
HOLD_LAW = (
    "Fed. R. Civ. P. 37(e): whoever expects a suit must keep what it will need, and "
    "answers for what was lost (from memory)"
)


@dataclass(frozen=True)
class Kind:
    """One kind of record. ``years`` are how long a closed house must still keep it.

    What ``is_record`` is not, holds nothing of the trade, and no legal hold reaches it.
    """

    what: str
    how_long: str
    ender: str
    source: str
    years: int = 0
    is_record: bool = True


_STANDS = "As long as you use this program"

KINDS: tuple[Kind, ...] = (
    Kind("History: who did what, and when", _STANDS, NOBODY, OURS, 7),
    Kind(
        "Trucks, freight bills, crates, machines and findings",
        f"{_STANDS}, and 4 years more",
        NOBODY,
        SALE,
        4,
    ),
    Kind(
        "Photos and documents as they were received",
        f"{_STANDS}, and 4 years more; one that is withheld is kept too",
        NOBODY,
        SALE,
        4,
    ),
    Kind(
        "Claims, notices, letters and claim files",
        f"{_STANDS}, and 6 years more",
        NOBODY,
        SUIT,
        6,
    ),
    Kind(
        "Signed receipts and whatever went out, byte for byte",
        f"{_STANDS}, and 6 years more",
        NOBODY,
        SIGNED,
        6,
    ),
    Kind(
        "Deposits, credit memos, payments and the books",
        f"{_STANDS}, and 7 years more",
        NOBODY,
        TAX,
        7,
    ),
    Kind(
        "Setup sheets and sign-offs",
        f"{_STANDS}; best as long as the machine is used",
        NOBODY,
        PRACTICE,
        7,
    ),
    Kind(
        "People: their name and what they did",
        f"{_STANDS}, after they left too. Who left cannot sign in",
        NOBODY,
        OURS,
        7,
    ),
    Kind(
        "Two-step sign-in, passkeys and PINs",
        "Until they are taken away; the history says that they were there",
        OWN,
        OURS,
        is_record=False,
    ),
    Kind("Security log", "1 year at least", KEEPER, PRACTICE),
    Kind("Backups", "Until a newer one was restored and checked", KEEPER, PRACTICE),
    Kind(
        "Published roots and checkpoints, and the key that signs them",
        f"{_STANDS}, and as long as its records",
        KEEPER,
        OURS,
        7,
    ),
    Kind(
        "Uploads set aside because their answer never went out",
        "Until somebody has looked at them",
        KEEPER,
        PRACTICE,
    ),
    Kind(
        "Smaller copies of photos",
        "Made anew when needed",
        KEEPER,
        OURS,
        is_record=False,
    ),
    Kind(
        "Uploads that broke off",
        "1 hour; they were never saved",
        PROGRAM,
        OURS,
        is_record=False,
    ),
    Kind(
        "Who is signed in",
        "Until they sign out or rest",
        PROGRAM,
        OURS,
        is_record=False,
    ),
)


def ender_of(kind: Kind, *, is_held: bool) -> str:
    """Return who may end records of this kind. A legal hold outranks all of them."""
    return NOBODY if is_held and kind.is_record else kind.ender


def keep_closed_house_until(last_on: dt.date, *, is_held: bool) -> dt.date | None:
    """Return until when a house must be kept that recorded its last act on this day.

    Years run from the end of that year, because a tax year must be over. None where a
    legal hold stands: as long as it does.
    """
    if is_held:
        return None
    end_of_year = dt.date(last_on.year, 12, 31)
    return add_months(end_of_year, 12 * max(kind.years for kind in KINDS))
