"""The usual cautions of taking a crate apart so that it earns its credit.

Common practice, no source, and no instruction of ours: the maker's manual goes
first, and the shop's own rules.
"""

DEFERS = (
    "The maker's manual and your shop's rules go before these. "
    "If they differ, follow the maker."
)

CAUTIONS = (
    ("Gloves and eyes", "Gloves on and eyes covered before the first fastener."),
    (
        "Straps",
        (
            "Strapping is under tension and whips when it is cut. Stand out of its line, "
            "others away, and use proper shears."
        ),
    ),
    (
        "Nails and staples",
        (
            "Pull nails and staples or bend them flat as each board comes off. Stack "
            "panels with the points down."
        ),
    ),
    (
        "Lifting",
        (
            "Lift panels and bases by two, or with a lift rated for them. A base that "
            "stands on edge is leant and secured, never left upright."
        ),
    ),
    (
        "What holds up what",
        (
            "Take the lid off first, then the sides. Hold a side before its last fastener "
            "is out."
        ),
    ),
)

FOR_THE_CREDIT = (
    "Unscrew, do not pry: a split panel is a damaged part.",
    "Put every screw, bracket and pin back into the hardware bag as it comes out.",
    "Stack the parts of one crate together, with its mark on top.",
)
"""What keeps a crate worth its deposit."""
