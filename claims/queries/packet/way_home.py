"""The parts of a claim file about crates on the way home: we ship, the supplier receives."""

from dataclasses import replace

from claims.models import ClaimLine
from claims.queries.letters.notices import sender_of, supplier_party
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.text import joined, letter_day, plural
from claims.rules.claim.way_home import DAMAGED, OUTCOMES
from claims.rules.packet.content import ArticleFacts, ShipmentFacts
from claims.rules.packet.home_wording import TakenFacts, taken
from inventory.models import Crate, CrateReturn, Location, ReturnLine
from inventory.queries.deposits.facts import rule_of, terms_for
from inventory.queries.returns.listing import mass_of
from inventory.rules.deposits.terms_words import terms_in_words
from inventory.rules.reckoning.measures import format_figure
from inventory.rules.reckoning.moments import dock_day

_LOST = "Lost: "
"""How the return's own line begins the reason of a loss."""

BASIS = (
    "Proven loss: the credit that the consignee's terms give for each returned crate, and "
    "no more"
)


def return_of(gathered: Gathered) -> CrateReturn | None:
    """Return the return that the claim's bill is of, None for an inbound bill."""
    return gathered.claim.shipment.crate_return


def taken_words(gathered: Gathered, row: CrateReturn) -> str:
    """Return who took how many crates, from where, for whom, and what the driver signed."""
    shipment = gathered.claim.shipment
    return taken(
        TakenFacts(
            carrier=shipment.carrier.name,
            place=gathered.claim.location.name,
            consignee=row.supplier.name,
            bol=shipment.bol_number,
            pro=shipment.pro_number,
            taken_on=letter_day(row.picked_up_on),
            received_on=letter_day(row.received_back_on),
            crates=plural(shipment.pieces_billed or 0, "crate"),
            driver=row.driver_name,
            driver_count=row.driver_count,
            is_signed=row.how_signed == "signed",
        )
    )


def signed_words(row: CrateReturn) -> str:
    """Return how the driver signed for the load."""
    if row.how_signed != "signed":
        return row.get_how_signed_display() if row.how_signed else ""
    count = "" if row.driver_count is None else f" {plural(row.driver_count, 'crate')}"
    driver = f"The driver, {row.driver_name}," if row.driver_name else "The driver"
    return f"None by the driver. {driver} signed our bill of lading for{count or ' the load'}."


def home_shipment(facts: ShipmentFacts, gathered: Gathered) -> ShipmentFacts:
    """Return the shipment of an outbound bill: we are its shipper."""
    row = return_of(gathered)
    if row is None:
        return facts
    party = supplier_party(gathered.claim.shipment)
    received = letter_day(row.received_back_on)
    return replace(
        facts,
        shipper=joined(sender_of(gathered.claim.location).name, ""),
        consignee=party.name if party else row.supplier.name,
        trailer=row.delivery.trailer_number if row.delivery else "",
        delivered=(f"To the consignee, {received}" if received else "Not delivered",),
        driver=row.driver_name,
    )


def home_articles(gathered: Gathered) -> tuple[ArticleFacts, ...]:
    """Return each crate: as it was shipped, and what became of it."""
    return tuple(
        _article(line, line.return_line, gathered)
        for line in gathered.lines
        if line.return_line
    )


def home_damages(gathered: Gathered) -> tuple[str, ...]:
    """Return what became of each crate, in a sentence."""
    return tuple(line.label for line in gathered.lines if line.return_line)


def home_basis(row: CrateReturn) -> str:
    """Return the measure of the loss with the terms that give it."""
    on = row.picked_up_on or dock_day(row.made_at, row.location.zone)
    terms = terms_for(row.supplier, on)
    if terms is None:
        return f"{BASIS}."
    said = " ".join(terms_in_words(rule_of(terms)))
    return f"{BASIS}. Terms of {row.supplier}: {said}"


def _article(line: ClaimLine, home: ReturnLine, gathered: Gathered) -> ArticleFacts:
    crate = home.crate
    is_hurt = line.outcome == OUTCOMES[DAMAGED]
    why = next(
        (
            step.removeprefix(_LOST)
            for step in reversed(home.steps)
            if step.startswith(_LOST)
        ),
        "",
    )
    told = "Delivered damaged" if is_hurt else "Not delivered"
    return ArticleFacts(
        model=str(crate.crate_type or "Returnable crate"),
        serial="",
        condition=_checked(crate, gathered.claim.location),
        packing="Empty returnable crate",
        crate=joined(str(crate.number), f"mark {crate.mark}" if crate.mark else ""),
        weight=_weight(crate),
        crate_damage="",
        damage=f"{told}. {why}".strip() if why else told,
        found="",
        seen_at_delivery="",
    )


def _checked(crate: Crate, location: Location) -> str:
    """Return what our last check of the crate found, with its day."""
    check = crate.checks.order_by("-pk").first()
    if check is None:
        return ""
    day = letter_day(dock_day(check.checked_at, location.zone))
    return f"{check.get_result_display()} at our check of {day}"


def _weight(crate: Crate) -> str:
    mass = mass_of(crate.crate_type)
    return f"{format_figure(mass.amount)} {mass.unit}" if mass else ""
