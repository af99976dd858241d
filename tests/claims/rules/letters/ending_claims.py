"""Claims drawn by a seed, for the letters that end, move or certify."""

from dataclasses import replace
from datetime import date, timedelta
from random import Random

from claims.rules.letters.claim_letter import LetterFacts, LetterLine, NoticeGiven
from claims.rules.letters.goods import (
    GoodsFacts,
    OpenedCrate,
    PiecesCounted,
    PointRead,
    SalvageOffered,
    SeenFinding,
)
from claims.rules.letters.non_receipt import NonReceiptChoices
from claims.rules.letters.salvage import HOW_SOLD, AccountChoices, OfferChoices
from claims.rules.letters.technician import StatementChoices, draft_of
from claims.rules.letters.withdrawal import WithdrawalChoices
from claims.rules.packet.content import Party
from inventory.rules.reckoning.calendars import in_full

ENDINGS = (
    *("withdrawal", "hand-over", "assignment", "authority"),
    *("salvage-offer", "salvage-account", "non-receipt", "technician-statement"),
)
_TODAY = date(2026, 11, 26)
_MADE_BY = ("bent", "cracked", "dented", "scratched")
_PARTS = ("deck shell", "hood", "frame rail", "left fender", "fuel tank")


def claim_of(number):
    """Return the facts of claim ``number``: every text in it is its own."""
    draw = Random(f"endings {number}")
    delivered = _TODAY - timedelta(days=draw.randint(40, 200))
    lines = tuple(_line(draw, place) for place in range(1, draw.randint(3, 7)))
    return LetterFacts(
        today=_TODAY,
        regime="us-motor",
        currency="USD",
        claim_number=f"QN-2026-{number:04d}",
        claimant="supplier",
        pro=f"SSL{draw.randrange(10**7, 10**8)}",
        sender=Party(
            "Quillback Northgate", ("880 Granary Road", "East Tallow, IA 52999")
        ),
        carrier=Party("Sedge & Stone Lines", ("Cargo Claims", "Dunmarrow, NE 68999")),
        signer="Mina Osterby",
        signer_title="Manager",
        supplier=Party("Harrow & Tine Works", ("7 Colter Street", "Wick, OH 44999")),
        carrier_claim_number=f"C{draw.randrange(10**5, 10**6)}",
        bol=f"OIW-{draw.randrange(10**4, 10**5)}",
        bol_on=delivered - timedelta(days=7),
        delivered_on=delivered,
        claimed_cents=sum(line.amount_cents for line in lines),
        lines=lines,
        sent_on=delivered + timedelta(days=9),
        claim_by=delivered + timedelta(days=270),
        notices=(
            NoticeGiven(
                "concealed",
                delivered + timedelta(days=2),
                delivered + timedelta(days=5),
            ),
        ),
        claim_file="Claim file, version 1",
        goods=_goods(draw, lines, delivered),
    )


def _line(draw, place):
    """Return a line; the first is a total loss and the second a shortage."""
    outcome = {1: "total", 2: "short"}.get(place) or draw.choice(("repair", "as-is"))
    name = f"{draw.choice(_PARTS)} {draw.randrange(100, 1000)}"
    return LetterLine(
        number=place,
        label=name,
        serial=f"ZT{draw.randrange(10**6, 10**7)}",
        amount_cents=draw.randrange(100, 9_000) * 100 + 10 * place + draw.randrange(10),
        outcome=outcome,
        salvage_cents=draw.choice((0, 0, draw.randrange(100, 9_000))),
    )


def _goods(draw, lines, delivered):
    seen = tuple(
        SeenFinding(
            number=place,
            on=f"TX 48 tiller, {line.serial}",
            what=f"{line.label.rsplit(' ', 1)[0]}, {draw.choice(_MADE_BY)}",
            facts=f"Runs {40 * place + draw.randint(0, 39)} 1/{draw.choice((2, 4, 8))} in from the edge",
            stage="at uncrating",
            seen=f"{in_full(delivered + timedelta(days=1))}, {draw.randint(1, 9)}:31 PM",
            photos=draw.randint(0, 4),
        )
        for place, line in enumerate(lines, start=1)
    )
    billed, short = draw.randint(3, 9), draw.randint(1, 2)
    return GoodsFacts(
        technician="Ito Brandvold",
        findings=seen,
        opened=(OpenedCrate("Crate 1", f"{in_full(delivered)}, 1:05 PM"),),
        readings=(
            PointRead(
                "TX 48 tiller",
                "Tire pressure",
                "not right",
                f"{draw.randint(5, 40)} psi",
            ),
        ),
        pieces=PiecesCounted("short", billed - short, billed, "skid", delivered),
        held_at="Bay 4, weekdays 8 to 4",
        offered=SalvageOffered(
            delivered + timedelta(days=12), delivered + timedelta(days=26)
        ),
    )


def choices_of(key, facts, number=0):
    """Return the choices of this kind for this claim; None where it has none."""
    draw = Random(f"choices {key} {number}")
    here = tuple(line.number for line in facts.lines if line.outcome != "short")
    if key == "withdrawal":
        return WithdrawalChoices("The goods were repaired under warranty")
    if key == "salvage-offer":
        return OfferChoices(here, facts.goods.held_at, facts.today + timedelta(days=21))
    if key == "salvage-account":
        return AccountChoices(
            lines=here[: draw.randint(1, len(here))],
            lot=f"LOT-{draw.randrange(1000, 10000)}",
            how=draw.choice(sorted(HOW_SOLD)),
            buyer=f"Orrin Salvage {draw.randrange(100, 1000)}",
            sold_on=facts.today - timedelta(days=1),
            proceeds_cents=draw.randrange(5_000, 200_000),
            cost_cents=draw.choice((0, draw.randrange(100, 4_000))),
            cost_for="Hauling",
        )
    if key == "non-receipt":
        return NonReceiptChoices("Yard, bays 1 to 9 and the log of trucks")
    if key == "technician-statement":
        return StatementChoices(draft_of(facts.goods), "Nobody")
    return None


def without(facts, **goods):
    """Return the facts with other goods."""
    return replace(facts, goods=replace(facts.goods, **goods))
