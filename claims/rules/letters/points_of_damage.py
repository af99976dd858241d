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
            goods.crate_marked,
            "That damage came to the crate from outside.",
        ),
        Point(
            "indicator",
            goods.indicator,
            "It shows how the freight was handled.",
            Rule("handling, not damage: from memory"),
        ),
        Point(
            "unmarked",
            dock.unmarked,
            "That is freight of the same shipper on the same freight bill.",
        ),
        Point(
            "blocking",
            goods.blocking_photos,
            "That is how the goods were secured in the crate.",
        ),
        Point(
            "origin",
            goods.origin,
            "It was packed in that condition.",
        ),
        Point(
            "proof",
            goods.proof_in_order,
            "These three make our case.",
            BOTH,
        ),
    ),
    "late-notice": (
        Point(
            "in-time",
            goods.notice_in_time,
            "That was within the period for notice.",
            NOTICE,
        ),
        Point(
            "given",
            goods.notice_given,
            "You had notice from that day.",
            NOTICE,
        ),
        Point(
            "exceptions",
            dock.exceptions,
            "They were noted on the day of delivery.",
        ),
        Point(
            "custody",
            goods.custody,
            "That is its custody from delivery to opening.",
            AFTER,
        ),
        Point(
            "crate-marked",
            goods.crate_marked,
            "So the crate was damaged when it was delivered.",
        ),
        Point(
            "delivered-photos",
            dock.delivered_photos,
            "Please compare that with the photos of the damage.",
        ),
        Point(
            "opening-photos",
            goods.opening_photos,
            "That is how the goods were found in the crate.",
        ),
    ),
    "clean-receipt": (
        Point(
            "exceptions",
            dock.exceptions,
            "So exceptions were made at delivery.",
            Rule("former 41 CFR 101-40.701, text seen"),
        ),
        Point(
            "pod",
            dock.on_your_pod,
            "It is your own record.",
        ),
        Point(
            "protest",
            dock.protest,
            "We did not accept that copy.",
        ),
        Point(
            "hidden",
            goods.hidden,
            "It could not be written on a receipt at delivery.",
            CLEAR,
        ),
        Point(
            "notice",
            goods.notice,
            "A receipt does not set aside a notice that follows it.",
            CLEAR,
        ),
        Point(
            "delivered-photos",
            dock.delivered_photos,
            "That is its condition at delivery.",
            CLEAR,
        ),
    ),
    "nature": (
        Point(
            "by-force",
            goods.by_force,
            "Goods of this kind do not do this to themselves.",
        ),
        Point("new", goods.new_machine, "It had no wear."),
        Point(
            "indicator",
            goods.indicator,
            "It shows how the freight was handled.",
            Rule("handling, not damage: from memory"),
        ),
        Point(
            "origin",
            goods.origin,
            "The goods left in that condition.",
        ),
        Point(
            "proof",
            goods.proof_in_order,
            "These three make our case.",
            BOTH,
        ),
    ),
}
