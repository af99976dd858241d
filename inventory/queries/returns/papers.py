"""The bill of lading and the packing list of a return, read from its rows."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from inventory.models import (
    CrateCheck,
    CrateReturn,
    CrateTerms,
    CrateType,
    Location,
    ReturnLine,
    Supplier,
)
from inventory.queries.deposits.facts import terms_for
from inventory.queries.returns.listing import lines_of, mass_of, plan_of
from inventory.rules.crates.life import PartFound, found_in_words
from inventory.rules.crates.words import CRATE_STATES, RETURN_FREIGHT
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.measures import ROUNDING, Mass, length_in
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.returns.life import count_words, total_weight
from inventory.rules.returns.papers import (
    Floor,
    FloorBlock,
    Grid,
    Head,
    Paper,
    Party,
    ReturnPaper,
    Section,
    Words,
    cautions_section,
)
from inventory.rules.returns.stacks import StackPlan, Trailer

_LOAD = (
    Head("Type", 28, is_strong=True),
    Head("Crates", 10, is_right=True),
    Head("Class", 9, is_right=True),
    Head("Each: length, width, height", 30, is_right=True),
    Head("Each", 12, is_right=True),
    Head("Weight", 14, is_right=True),
)
_CRATES = (
    Head("No.", 8),
    Head("Mark or GRAI", 28, is_strong=True),
    Head("Type", 26),
    Head("At last check", 22),
    Head("Weight", 16, is_right=True),
)
_STACKS = (
    Head("", 6, is_strong=True),
    Head("Type", 26),
    Head("Crates", 11, is_right=True),
    Head("Stacks", 11, is_right=True),
    Head("Per stack", 12, is_right=True),
    Head("Height", 13, is_right=True),
    Head("Rows", 16, is_right=True),
    Head("Floor", 14, is_right=True),
)

CARRIERS_BILL = (
    "Prepared for the driver and the dock. Where the carrier issues its own bill of "
    "lading, that bill, its tariff and its rules govern."
)


def bill_of(crate_return: CrateReturn, today: date) -> ReturnPaper:
    """Return the bill of lading: counts, weights, payer, and signature lines."""
    lines = lines_of(crate_return)
    noted = count_words(len(lines), crate_return.driver_count)
    noted_words = (Words(noted, lead="Count."),) if noted else ()
    return ReturnPaper(
        title="Bill of lading for returned empties",
        number=crate_return.number,
        date=in_words(crate_return.billed_on or crate_return.planned_on or today),
        sender=_place(crate_return.location),
        addressee=_supplier(crate_return.supplier),
        facts=_facts(crate_return),
        sections=(
            Section(
                "Load",
                (
                    _load(lines, crate_return.location),
                    *noted_words,
                    Words(CARRIERS_BILL, is_small=True),
                ),
            ),
            cautions_section(),
        ),
        signatures=(
            f"For {crate_return.location}, name and date",
            "Driver, name, date and count of crates taken",
        ),
        paper=_paper(crate_return.location),
        dated_on=today.isoformat(),
    )


def packing_list_of(
    crate_return: CrateReturn, today: date, trailer: Trailer
) -> ReturnPaper:
    """Return the packing list: crate by crate, and the stacks on the trailer's floor."""
    lines = lines_of(crate_return)
    found = _conditions(lines)
    rows = [
        _crate_row(number, line, found.get(line.crate_id, "not checked"))
        for number, line in enumerate(lines, start=1)
    ]
    masses = [mass_of(line.crate.crate_type) for line in lines]
    rows.append((f"{len(lines)}", "crates in all", "", "", total_weight(masses).words))
    plan = plan_of(lines, trailer)
    unit = crate_return.location.length_unit
    return ReturnPaper(
        title="Packing list of returned empties",
        number=crate_return.number,
        date=in_words(crate_return.billed_on or crate_return.planned_on or today),
        sender=_place(crate_return.location),
        addressee=_supplier(crate_return.supplier),
        facts=_facts(crate_return),
        sections=(
            Section("Crate by crate", (Grid(_CRATES, tuple(rows), has_total=True),)),
            Section("Stacks on the floor", _stack_pieces(plan, unit)),
            cautions_section(),
        ),
        paper=_paper(crate_return.location),
        dated_on=today.isoformat(),
    )


def _paper(location: Location) -> Paper:
    return "a4" if location.paper == "a4" else "letter"


def _place(location: Location) -> Party:
    return Party(location.name, tuple(location.address.splitlines()))


def _supplier(supplier: Supplier) -> Party:
    return Party(
        supplier.name, (*supplier.address.splitlines(), supplier.returns_email)
    )


def _facts(row: CrateReturn) -> tuple[tuple[str, str], ...]:
    terms = terms_for(
        row.supplier, row.picked_up_on or dock_day(row.made_at, row.location.zone)
    )
    pays = RETURN_FREIGHT[terms.return_freight] if terms else ""
    carrier = row.carrier
    name = f"{carrier.name}, {carrier.scac}" if carrier and carrier.scac else ""
    return (
        ("Carrier", name or str(carrier or "")),
        ("Trailer", row.delivery.trailer_number if row.delivery else ""),
        ("Freight", pays),
        ("Bill the freight to", _bill_to(row, terms)),
        ("Return authorization", row.authorization),
        ("Appointment", row.appointment),
        ("Planned for", in_words(row.planned_on) if row.planned_on else ""),
        ("Shipped", in_words(row.picked_up_on) if row.picked_up_on else ""),
        ("Driver", row.driver_name),
        (
            "Driver signed for",
            "" if row.driver_count is None else f"{row.driver_count} crates",
        ),
    )


def _bill_to(row: CrateReturn, terms: CrateTerms | None) -> str:
    """Return who gets the freight bill: as typed, else whoever pays by the terms."""
    if row.bill_to.strip():
        return ", ".join(line.strip() for line in row.bill_to.splitlines() if line)
    if terms is None:
        return ""
    payer = row.location if terms.return_freight == "us" else row.supplier
    return ", ".join([payer.name, *payer.address.splitlines()])


def _load(lines: Sequence[ReturnLine], location: Location) -> Grid:
    groups: dict[int, list[ReturnLine]] = defaultdict(list)
    for line in lines:
        groups[line.crate.crate_type_id or 0].append(line)
    rows = []
    for group in groups.values():
        kind = group[0].crate.crate_type
        masses = [mass_of(kind)] * len(group)
        rows.append(
            (
                _type_name(kind),
                str(len(group)),
                (kind.freight_class if kind else "") or "none given",
                _size(kind, location.length_unit),
                _weight(masses[0]),
                total_weight(masses).words,
            )
        )
    rows.sort()
    every = [mass_of(line.crate.crate_type) for line in lines]
    rows.append(("In all", str(len(lines)), "", "", "", total_weight(every).words))
    return Grid(_LOAD, tuple(rows), has_total=True)


def _conditions(lines: Sequence[ReturnLine]) -> dict[int, str]:
    """Return the result of each crate's last check."""
    checks = (
        CrateCheck.objects.filter(crate__in=[line.crate_id for line in lines])
        .prefetch_related("lines__part")
        .order_by("pk")
    )
    return {check.crate_id: _condition(check) for check in checks}


def _condition(check: CrateCheck) -> str:
    parts = tuple(
        PartFound(
            line.part.name, line.part.count, missing=line.missing, damaged=line.damaged
        )
        for line in check.lines.all()
    )
    words = found_in_words(parts)
    return words or CRATE_STATES[check.result].lower()


def _crate_row(number: int, line: ReturnLine, condition: str) -> tuple[str, ...]:
    crate = line.crate
    return (
        str(number),
        crate.mark or crate.grai or f"crate {crate.number} of {crate.shipment}",
        _type_name(crate.crate_type),
        condition,
        _weight(mass_of(crate.crate_type)),
    )


def _type_name(kind: CrateType | None) -> str:
    if kind is None:
        return "Type not known"
    return f"{kind.name} ({kind.code})" if kind.code else kind.name


def _weight(mass: Mass | None) -> str:
    return str(mass) if mass else "not known"


def _size(kind: CrateType | None, unit: str) -> str:
    """Return length, width and height of one crate as it stands; or that none is known."""
    sides = (kind.length_mm, kind.width_mm, kind.height_mm) if kind else ()
    known = [length_in(side, unit) for side in sides if side]
    return ", ".join(known) if len(known) == 3 else "not known"


def _stack_pieces(plan: StackPlan, unit: str) -> tuple[Words | Grid | Floor, ...]:
    trailer = plan.trailer
    inside = (
        f"For a trailer {length_in(trailer.length_mm, unit)} by "
        f"{length_in(trailer.width_mm, unit)} inside, "
        f"{length_in(trailer.height_mm, unit)} high. Measure the trailer that arrives. {ROUNDING[unit]}"
    )
    rows: list[tuple[str, ...]] = []
    blocks: list[FloorBlock] = []
    at = 0
    for stack in plan.stackings:
        letter = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[len(blocks) % 26] if stack.rows else ""
        rows.append(
            (
                letter,
                stack.name,
                f"{stack.fits} of {stack.count}",
                str(stack.stacks),
                str(stack.per_stack),
                length_in(stack.stack_mm, unit),
                f"{stack.rows} of {stack.across}",
                length_in(stack.floor_mm, unit),
            )
        )
        if stack.rows:
            blocks.append(
                FloorBlock(stack.name, at, stack.floor_mm, stack.rows, stack.across)
            )
        at += stack.floor_mm
    problems = tuple(
        Words(f"{row.problem} {row.left} not planned.", lead=f"{row.name}.")
        for row in plan.stackings
        if row.problem
    )
    floor = Floor(trailer.length_mm, trailer.width_mm, tuple(blocks))
    return (
        Words(plan.words_in(unit)),
        *((floor,) if blocks else ()),
        Grid(_STACKS, tuple(rows)),
        *problems,
        Words(inside, is_small=True),
    )
