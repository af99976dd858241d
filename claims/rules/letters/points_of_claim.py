"""What may be answered on value, inspection, load, filing, carrier, freight, salvage."""

from claims.rules.letters import rebuttal_claim as claim
from claims.rules.letters import rebuttal_delivery as dock
from claims.rules.letters import rebuttal_goods as goods
from claims.rules.letters.rebuttal_reasons import (
    BOTH,
    DECLARED,
    DELIVERING,
    NINE_MONTHS,
    NOTICE,
    ON_NOTICE,
    SALVAGE,
    WHOLE_ARTICLE,
    Point,
    Rule,
)

OF_CLAIM: dict[str, tuple[Point, ...]] = {
    "released-value": (
        Point(
            "declaration",
            "The bill of lading is on file: ask for the declaration",
            claim.bill_of_lading,
            "",
            DECLARED,
        ),
        Point(
            "within",
            "The claim is within the released value",
            claim.within_limit,
            "A released value, where it applies, is a ceiling and not a share of the loss.",
            Rule("GAO B-169285, text seen"),
        ),
        Point(
            "weight",
            "The weight of the whole article counts",
            claim.weight,
            "",
            WHOLE_ARTICLE,
        ),
    ),
    "no-inspection": (
        Point(
            "notice",
            "Inspection was asked for in the notice",
            goods.notice,
            "You had the chance to inspect from that day.",
            NOTICE,
        ),
        Point(
            "asked",
            "The packaging was held and inspection asked for",
            goods.asked,
            "You had the chance to inspect from that day.",
            ON_NOTICE,
        ),
        Point(
            "waived",
            "The carrier waived inspection",
            goods.waived,
            "A waived inspection is no reason to decline.",
        ),
        Point(
            "inspected",
            "The carrier inspected",
            goods.inspected,
            "So you had the chance, and took it.",
        ),
        Point("held", "The goods are still held", goods.held, "You may inspect them."),
    ),
    "load-and-count": (
        Point(
            "counted",
            "The pieces were counted at the dock",
            dock.counted,
            "The count was made at delivery.",
            Rule("former 41 CFR 101-40.701, text seen"),
        ),
        Point(
            "seal",
            "The seal was broken, or another",
            dock.seal,
            "The load did not arrive as the shipper closed it.",
        ),
        Point(
            "load-photos",
            "The load was photographed before unloading",
            dock.load_photos,
            "That is the load as it arrived.",
        ),
        Point(
            "proof",
            "Origin, arrival and amount are shown",
            goods.proof_in_order,
            "",
            BOTH,
        ),
    ),
    "unloaded": (
        Point(
            "driver",
            "The driver unloaded",
            dock.driver_unloaded,
            "The unloading was yours.",
        ),
        Point(
            "on-trailer",
            "The damage was seen on the trailer",
            dock.on_trailer,
            "So it was there before the unloading.",
        ),
        Point(
            "load-photos",
            "The load was photographed before unloading",
            dock.load_photos,
            "That is the load before anyone moved it.",
        ),
        Point(
            "exceptions",
            "Exceptions were noted at delivery",
            dock.exceptions,
            "They name the damage.",
        ),
        Point(
            "proof",
            "Origin, arrival and amount are shown",
            goods.proof_in_order,
            "",
            BOTH,
        ),
    ),
    "filed-late": (
        Point(
            "filed",
            "Receipt of the claim is proven",
            claim.filed,
            "That is within the period for filing.",
            NINE_MONTHS,
        ),
        Point(
            "acknowledged",
            "The carrier acknowledged the claim",
            claim.acknowledged,
            "You had it by then.",
            Rule("49 CFR 370.5, secondary source"),
        ),
    ),
    "wrong-carrier": (
        Point(
            "your-truck",
            "The carrier's driver delivered it",
            dock.your_truck,
            "You delivered this freight.",
            DELIVERING,
        ),
        Point(
            "your-papers",
            "The carrier's own papers name the freight",
            claim.your_papers,
            "They are your own records.",
        ),
        Point(
            "acknowledged",
            "The carrier acknowledged the claim",
            claim.acknowledged,
            "You took it up as the carrier of this freight.",
        ),
    ),
    "freight-unpaid": (
        Point(
            "paid", "The freight was paid", claim.freight_paid, "Nothing is open on it."
        ),
        Point(
            "others",
            "The freight is for another to pay",
            claim.freight_of_others,
            "What is open on it is between you and the payer, and is no part of this claim.",
        ),
    ),
    "salvage": (
        Point(
            "held",
            "Salvage is accounted for",
            claim.salvage_held,
            "So salvage is accounted for.",
            Rule("49 CFR 370.11, text seen"),
        ),
        Point(
            "credited",
            "Salvage is credited in the claim",
            claim.salvage_credited,
            "No more is to be taken off.",
        ),
        Point(
            "parts",
            "Replaced parts are kept",
            claim.parts_kept,
            "You may collect them or see them here.",
        ),
        Point("refused", "Crates were refused at delivery", claim.refused, "", SALVAGE),
    ),
}
