"""What may be answered on packaging, notice, receipt and the nature of the goods."""

from claims.rules.letters import rebuttal_delivery as dock
from claims.rules.letters import rebuttal_goods as goods
from claims.rules.letters.rebuttal_reasons import (
    AFTER,
    BOTH,
    CLEAR,
    NOTICE,
    Point,
    Rule,
)

OF_DAMAGE: dict[str, tuple[Point, ...]] = {
    "packaging": (
        Point(
            "crate-marked",
            "The crate was damaged outside at delivery",
            goods.crate_marked,
            "That damage came to the crate from outside.",
        ),
        Point(
            "indicator",
            "An indicator had tripped",
            goods.indicator,
            "It shows how the freight was handled.",
            Rule("handling, not damage: from memory"),
        ),
        Point(
            "unmarked",
            "Other crates of the load arrived without damage",
            dock.unmarked,
            "They came from the same shipper on the same freight bill.",
        ),
        Point(
            "blocking",
            "Blocking and bracing were photographed",
            goods.blocking_photos,
            "That is how the goods were secured in the crate.",
        ),
        Point(
            "origin",
            "The condition when packed is documented",
            goods.origin,
            "It was packed in that condition.",
        ),
        Point(
            "proof",
            "Origin, arrival and amount are shown",
            goods.proof_in_order,
            "",
            BOTH,
        ),
    ),
    "late-notice": (
        Point(
            "in-time",
            "Notice was given within its period",
            goods.notice_in_time,
            "That was within the period for notice.",
            NOTICE,
        ),
        Point(
            "given",
            "Notice was given, with a request to inspect",
            goods.notice_given,
            "You had notice from that day.",
            NOTICE,
        ),
        Point(
            "exceptions",
            "Exceptions were noted at delivery",
            dock.exceptions,
            "They were noted on the day of delivery.",
        ),
        Point(
            "custody",
            "The crate stayed closed until its opening",
            goods.custody,
            "That is its custody from delivery to opening.",
            AFTER,
        ),
        Point(
            "crate-marked",
            "The crate was damaged outside at delivery",
            goods.crate_marked,
            "So the crate was damaged when it was delivered.",
        ),
        Point(
            "delivered-photos",
            "The crate was photographed as delivered",
            dock.delivered_photos,
            "Please compare that with the photos of the damage.",
        ),
        Point(
            "opening-photos",
            "The opening was photographed",
            goods.opening_photos,
            "That is how the goods were found in the crate.",
        ),
    ),
    "clean-receipt": (
        Point(
            "exceptions",
            "Exceptions were noted at delivery",
            dock.exceptions,
            "So exceptions were made at delivery.",
            Rule("former 41 CFR 101-40.701, text seen"),
        ),
        Point(
            "pod",
            "The carrier's POD shows our exceptions",
            dock.on_your_pod,
            "It is your own record.",
        ),
        Point(
            "protest",
            "We protested against the carrier's copy",
            dock.protest,
            "We did not accept that copy.",
        ),
        Point(
            "hidden",
            "The damage was inside the closed crate",
            goods.hidden,
            "It could not be written on a receipt at delivery.",
            CLEAR,
        ),
        Point(
            "notice",
            "Notice was given after delivery",
            goods.notice,
            "A receipt does not set aside a notice that follows it.",
            CLEAR,
        ),
        Point(
            "delivered-photos",
            "The crate was photographed as delivered",
            dock.delivered_photos,
            "That is its condition at delivery.",
            CLEAR,
        ),
    ),
    "nature": (
        Point(
            "by-force",
            "The damage is broken, bent or crushed parts",
            goods.by_force,
            "Goods of this kind do not do this to themselves.",
        ),
        Point("new", "The machine was new", goods.new_machine, "It had no wear."),
        Point(
            "indicator",
            "An indicator had tripped",
            goods.indicator,
            "It shows how the freight was handled.",
            Rule("handling, not damage: from memory"),
        ),
        Point(
            "origin",
            "The condition when packed is documented",
            goods.origin,
            "The goods left in that condition.",
        ),
        Point(
            "proof",
            "Origin, arrival and amount are shown",
            goods.proof_in_order,
            "",
            BOTH,
        ),
    ),
}
