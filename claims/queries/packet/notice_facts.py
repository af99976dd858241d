"""What was done about the loss: exceptions, notices, inspection, salvage, repair."""

from collections.abc import Iterable

from claims.models import Claim, ClaimLine
from claims.queries.letters.notices import supplier_party
from claims.queries.packet.articles import kind_of
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.text import amount_text, joined, letter_day
from claims.queries.packet.way_home import return_of, signed_words
from claims.rules.core.vocabulary import NOTICE_KINDS, SENT_HOW
from claims.rules.packet import wording
from claims.rules.packet.content import NoticeFacts
from inventory.models import Location
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.moments import dock_day


def one_line(location: Location) -> str:
    """Return a location's address on one line."""
    return ", ".join(line.strip() for line in location.address.splitlines() if line)


def inspect_at(claim: Claim) -> str:
    """Return where and when the goods can be inspected."""
    if claim.inspect_at or claim.shipment.crate_return_id is None:
        return claim.inspect_at or one_line(claim.location)
    consignee = supplier_party(claim.shipment)
    return ", ".join([consignee.name, *consignee.lines]) if consignee else ""


def notice_facts(gathered: Gathered) -> NoticeFacts:
    """Return what stands in part C of the statement."""
    claim = gathered.claim
    recovered = gathered.sheet.recovered_cents
    home = return_of(gathered)
    return NoticeFacts(
        exceptions=signed_words(home) if home else _exceptions(gathered),
        notices=tuple(
            joined(
                f"{letter_day(row.sent_on)}: {mid_sentence(NOTICE_KINDS[row.kind])}",
                f"sent by {mid_sentence(SENT_HOW[row.sent_how])}"
                if row.sent_how
                else "",
                f"received {letter_day(row.received_on)}" if row.received_on else "",
            )
            for row in gathered.notices
        ),
        inspection=_inspection(gathered),
        where="" if kind_of(gathered.lines) == wording.SHORTAGE else inspect_at(claim),
        salvage=claim.salvage_held or salvage_of(claim, gathered.lines),
        repair=claim.repair_done or _repair(gathered),
        recovered=amount_text(recovered, claim.currency) if recovered else "None",
    )


def salvage_of(claim: Claim, lines: Iterable[ClaimLine]) -> str:
    """Return who holds the salvage, as far as the record says."""
    rows = list(lines)
    if all(line.outcome == "short" for line in rows):
        return "None: the goods were not delivered."
    supplier = claim.shipment.supplier
    if claim.shipment.crate_return_id is not None and supplier is not None:
        return f"{supplier} holds the crate as delivered."
    crates = [line.unit.crate for line in rows if line.unit and line.unit.crate]
    if any(crate.look == "refused" for crate in crates):
        return f"{claim.shipment.carrier.name} holds what was refused at delivery."
    return f"{claim.location.name} holds the article and any parts taken off."


def _exceptions(gathered: Gathered) -> str:
    numbers = gathered.exhibits_where("receipt")
    shown = f" (Exhibit {', '.join(map(str, numbers))})" if numbers else ""
    told = [
        joined(
            letter_day(row.delivery.arrived_on),
            mid_sentence(row.closing.get_words_stand_on_display()) or "",
            mid_sentence(row.ending_words),
        )
        for row in gathered.handovers
        if row.words_full
    ]
    return f"{'; '.join(told)}{shown}" if told else f"None written{shown}"


def _inspection(gathered: Gathered) -> str:
    zone = gathered.claim.location.zone
    told = [
        joined(
            {"inspected": "Inspected", "waived": "Waived in writing"}[row.released_how]
            + f" by {gathered.claim.shipment.carrier.name}",
            letter_day(dock_day(row.released_at, zone)) if row.released_at else "",
        )
        for row in gathered.holds
        if row.released_how in {"inspected", "waived"}
    ]
    numbers = gathered.exhibits_where("inspection-report", "inspection-waiver")
    shown = f" (Exhibit {', '.join(map(str, numbers))})" if numbers else ""
    if told or numbers:
        return f"{'; '.join(dict.fromkeys(told)) or 'Enclosed'}{shown}"
    asked = [row for row in gathered.notices if row.kind == "concealed"]
    return f"Requested {letter_day(asked[0].sent_on)}" if asked else ""


def _repair(gathered: Gathered) -> str:
    held = any(row.released_at is None for row in gathered.holds)
    return "Not begun. The article and its packaging are held." if held else ""
