"""The usual cautions of taking a crate apart so that it earns its credit.

Common practice, no source, and not our instructions: the maker's manual and the
shop's own rules take precedence.
"""

DEFERS = (
    "The maker's manual and your shop's rules take precedence. Where they differ, "
    "follow the maker."
)

CAUTIONS = (
    ("Gloves and eyes", "Gloves and eye protection on before the first fastener."),
    (
        "Straps",
        (
            "Straps are under tension and whip when cut. Stand out of line with the "
            "strap, keep others away, and use strap cutters."
        ),
    ),
    (
        "Nails and staples",
        (
            "Pull nails and staples or bend them flat as each board comes off. "
            "Stack panels points down."
        ),
    ),
    (
        "Lifting",
        (
            "Lift panels and bases with two people, or with a lift rated for them. "
            "Lean and secure a base that is on edge; never leave it upright."
        ),
    ),
    (
        "What holds what up",
        (
            "Take the lid off first, then the sides. Hold each side before you take "
            "out its last fastener."
        ),
    ),
)

FOR_THE_CREDIT = (
    "Unscrew, do not pry: a split panel is a damaged part.",
    "Put every screw, bracket and pin in the hardware bag as it comes out.",
    "Stack the parts of one crate together, its mark on top.",
)
"""How to keep a crate's deposit."""
