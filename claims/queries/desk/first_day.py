"""How far a company is on its first day: read from its rows, stored nowhere."""

from collections.abc import Callable
from dataclasses import dataclass, field

from django.db.models import QuerySet

from claims.queries.core.test_trucks import has_signed_truck
from claims.rules.core import first_day as rules
from inventory.models import (
    AccountNumber,
    Assignment,
    Carrier,
    CrateType,
    Entry,
    Location,
    Supplier,
    User,
)
from inventory.rules.core.roles import ACCOUNTING, ACTS, MANAGER, ROLES, TECHNICIAN
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.rules.reckoning.zones import REGIONS, zone_words

NAMED = 3
"""How many names a board says before it counts the rest."""
_STATES = {key: word for group in REGIONS.values() for key, word in group}
_ALSO_NEEDED = (TECHNICIAN, MANAGER, ACCOUNTING)


@dataclass(frozen=True)
class BoardState:
    """One board: whether it is done, what is saved, what is missing or still open."""

    board: rules.Board
    is_done: bool
    facts: str = ""
    missing: str = ""
    remarks: list[str] = field(default_factory=list)


def progress() -> list[BoardState]:
    """Return the state of each board, in their order."""
    return [_STATE_OF[board.key](board) for board in rules.BOARDS]


def first_open(states: list[BoardState]) -> str:
    """Return the key of the first board that is not done, or ""."""
    return next((one.board.key for one in states if not one.is_done), "")


def is_all_done() -> bool:
    """Return whether every board is done; one query for each until one is not."""
    return all(_is_done(board.key) for board in rules.BOARDS)


def signers() -> list[Assignment]:
    """Return who may sign a receipt, at any location, with the role that lets them."""
    joined = _signing().select_related("person", "location")
    return list(joined.order_by("role", "person__full_name", "pk"))


def _signing() -> QuerySet[Assignment]:
    return Assignment.objects.filter(
        role__in=ACTS["sign-receipt"], person__is_active=True
    )


def _is_done(key: str) -> bool:
    if key == rules.LOCATION:
        return Location.objects.exists()
    if key == rules.PEOPLE:
        return _signing().exists()
    if key == rules.SUPPLIERS:
        return Supplier.objects.exists()
    if key == rules.CARRIERS:
        return Carrier.objects.exists()
    if key == rules.ACCOUNTS_BOARD:
        return AccountNumber.objects.exists() or Entry.objects.exists()
    return has_signed_truck()


def _location(board: rules.Board) -> BoardState:
    places = list(Location.objects.order_by("pk"))
    if not places:
        return BoardState(board, is_done=False, missing="1 location")
    first = places[0]
    holidays = _STATES.get(first.calendar, first.calendar)
    paper = {"letter": "US Letter", "a4": "A4"}[first.paper]
    facts = f"{first} · {zone_words(first.time_zone)} · {holidays} holidays · {paper}"
    bare = [str(one) for one in places if not one.shop_rate_cents]
    remarks = [f"No shop rate yet at {_named(bare)}: labor on a claim needs it."]
    return BoardState(
        board, is_done=True, facts=_more(facts, places), remarks=remarks if bare else []
    )


def _people(board: rules.Board) -> BoardState:
    rows = Assignment.objects.filter(person__is_active=True).select_related("person")
    held: dict[User, list[str]] = {}
    for row in rows.order_by("person__full_name", "pk"):
        held.setdefault(row.person, []).append(row.role)
    names = [
        f"{one} ({', '.join(ROLES[r].lower() for r in ROLES if r in kept)})"
        for one, kept in held.items()
    ]
    taken = {role for kept in held.values() for role in kept}
    lacking = [ROLES[role].lower() for role in _ALSO_NEEDED if role not in taken]
    is_done = _is_done(rules.PEOPLE)
    remarks = []
    if lacking and is_done:
        remarks.append(
            f"No {_named(lacking, last='or')} yet. Your first truck can be signed "
            "without one."
        )
    idle = User.objects.filter(is_active=True, is_administrator=False, assignments=None)
    if bare := [str(one) for one in idle.order_by("full_name", "pk")]:
        have = "has" if len(bare) == 1 else "have"
        remarks.append(f"{_named(bare)} {have} no role and no desk.")
    return BoardState(
        board,
        is_done=is_done,
        facts=_named(names),
        missing="" if is_done else "1 clerk or manager",
        remarks=remarks,
    )


def _suppliers(board: rules.Board) -> BoardState:
    names = [str(one) for one in Supplier.objects.order_by("name", "pk")]
    if not names:
        return BoardState(board, is_done=False, missing="1 supplier, 1 crate type")
    types = CrateType.objects.count()
    remark = "No crate type yet: no deposit can be charged."
    return BoardState(
        board,
        is_done=True,
        facts=f"{_named(names)} · {pieces_in_words(types, 'crate type')}",
        remarks=[] if types else [remark],
    )


def _carriers(board: rules.Board) -> BoardState:
    rows = list(Carrier.objects.order_by("name", "pk"))
    if not rows:
        return BoardState(board, is_done=False, missing="1 carrier")
    bare = [str(one) for one in rows if not one.claims_address and not one.claims_email]
    have = "has" if len(bare) == 1 else "have"
    remark = f"{_named(bare)} {have} no address for claims yet."
    return BoardState(
        board,
        is_done=True,
        facts=_named([str(one) for one in rows]),
        remarks=[remark] if bare else [],
    )


def _accounts(board: rules.Board) -> BoardState:
    if not _is_done(board.key):
        return BoardState(board, is_done=False, missing="Your numbers, or ours")
    numbers = AccountNumber.objects.count()
    facts = f"{pieces_in_words(numbers, 'account number')} saved"
    return BoardState(board, is_done=True, facts=facts)


def _truck(board: rules.Board) -> BoardState:
    if _is_done(board.key):
        return BoardState(board, is_done=True, facts="A receipt was signed")
    first = {
        rules.LOCATION: "a location",
        rules.PEOPLE: "a clerk or a manager",
        rules.CARRIERS: "a carrier",
    }
    lacking = [word for key, word in first.items() if not _is_done(key)]
    missing = f"First {_named(lacking)}" if lacking else "1 signed receipt"
    return BoardState(board, is_done=False, missing=missing)


_STATE_OF: dict[str, Callable[[rules.Board], BoardState]] = {
    rules.LOCATION: _location,
    rules.PEOPLE: _people,
    rules.SUPPLIERS: _suppliers,
    rules.CARRIERS: _carriers,
    rules.ACCOUNTS_BOARD: _accounts,
    rules.TRUCK: _truck,
}


def _named(names: list[str], last: str = "and") -> str:
    """Return "Rosa, Mina and 4 more"."""
    if len(names) > NAMED:
        names = [*names[: NAMED - 1], f"{len(names) - NAMED + 1} more"]
    head, tail = names[:-1], names[-1:]
    return f" {last} ".join([part for part in [", ".join(head), *tail] if part])


def _more(facts: str, rows: list[Location]) -> str:
    return f"{facts} · {len(rows) - 1} more" if len(rows) > 1 else facts
