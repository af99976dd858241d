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
            claim.bill_of_lading,
            "Please send us the declaration of value on which you rely.",
            DECLARED,
        ),
        Point(
            "within",
            claim.within_limit,
            "A released value, where it applies, is a ceiling and not a share of the loss.",
            Rule("GAO B-169285, text seen"),
        ),
        Point(
            "weight",
            claim.weight,
            "",
            WHOLE_ARTICLE,
        ),
    ),
    "no-inspection": (
        Point(
            "notice",
            goods.notice,
            "You had the chance to inspect from that day.",
            NOTICE,
        ),
        Point(
            "asked",
            goods.asked,
            "You had the chance to inspect from that day.",
            ON_NOTICE,
        ),
        Point(
            "waived",
            goods.waived,
            "A waived inspection is no reason to decline.",
        ),
        Point(
            "inspected",
            goods.inspected,
            "So you had the chance, and took it.",
        ),
        Point("held", goods.held, "You may inspect them."),
    ),
    "load-and-count": (
        Point(
            "counted",
            dock.counted,
            "The count was made at delivery.",
            Rule("former 41 CFR 101-40.701, text seen"),
        ),
        Point(
            "seal",
            dock.seal,
            "The load did not arrive as the shipper closed it.",
        ),
        Point(
            "load-photos",
            dock.load_photos,
            "That is the load as it arrived.",
        ),
        Point(
            "proof",
            goods.proof_in_order,
            "These three make our case.",
            BOTH,
        ),
    ),
    "unloaded": (
        Point(
            "driver",
            dock.driver_unloaded,
            "The unloading was yours.",
        ),
        Point(
            "on-trailer",
            dock.on_trailer,
            "So it was there before the unloading.",
        ),
        Point(
            "load-photos",
            dock.load_photos,
            "That is the load before anyone moved it.",
        ),
        Point(
            "exceptions",
            dock.exceptions,
            "They name the damage.",
        ),
        Point(
            "proof",
            goods.proof_in_order,
            "These three make our case.",
            BOTH,
        ),
    ),
    "filed-late": (
        Point(
            "filed",
            claim.filed,
            "That is within the period for filing.",
            NINE_MONTHS,
        ),
        Point(
            "acknowledged",
            claim.acknowledged,
            "You had it by then.",
            Rule("49 CFR 370.5, secondary source"),
        ),
    ),
    "wrong-carrier": (
        Point(
            "your-truck",
            dock.your_truck,
            "You delivered this freight.",
            DELIVERING,
        ),
        Point(
            "your-papers",
            claim.your_papers,
            "They are your own records.",
        ),
        Point(
            "acknowledged",
            claim.acknowledged,
            "You took it up as the carrier of this freight.",
        ),
    ),
    "freight-unpaid": (
        Point("paid", claim.freight_paid, "Nothing is open on it."),
        Point(
            "others",
            claim.freight_of_others,
            "What is open on it is between you and the payer, and is no part of this claim.",
        ),
    ),
    "salvage": (
        Point(
            "held",
            claim.salvage_held,
            "So salvage is accounted for.",
            Rule("49 CFR 370.11, text seen"),
        ),
        Point(
            "credited",
            claim.salvage_credited,
            "No more is to be taken off.",
        ),
        Point(
            "parts",
            claim.parts_kept,
            "You may collect them or see them here.",
        ),
        Point("refused", claim.refused, "", SALVAGE),
    ),
}
