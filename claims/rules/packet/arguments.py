"""The arguments a carrier may bring against a claim, each only where a fact is there.

Our own words, common practice, no source, where a row names none. The sheet is made at
the request of counsel alone; an import contract keeps it out of a claim file.
"""

from collections.abc import Callable
from dataclasses import dataclass

from claims.rules.packet.working import Argument


@dataclass(frozen=True)
class ArgumentFacts:
    """What the record says that may be turned against us. Empty text means: nothing."""

    clear_receipt: str = ""
    pod_differs: str = ""
    late_notice: str = ""
    stood: str = ""
    packing: str = ""
    our_handling: str = ""
    no_inspection: str = ""
    limit: str = ""
    own_unloading: str = ""
    missing_papers: str = ""
    shippers_count: str = ""


_ROWS: tuple[tuple[str, Callable[[ArgumentFacts], str], str], ...] = (
    (
        "The receipt was signed without exceptions",
        lambda facts: facts.clear_receipt,
        (
            "A clear receipt is not conclusive; other proof may show the damage was there "
            "(GAO B-185283, text seen)."
        ),
    ),
    (
        "The carrier's POD shows no exceptions",
        lambda facts: facts.pod_differs,
        "Our copy, the photo of it and the driver's device record.",
    ),
    (
        "Notice of concealed damage came late",
        lambda facts: facts.late_notice,
        (
            "After five business days the consignee offers reasonable evidence that it did "
            "not happen after delivery; it is no bar (NMFC item 300135, text seen)."
        ),
    ),
    (
        "The crate stood with us before it was opened",
        lambda facts: facts.stood,
        "The custody statement, with the photos at delivery and at opening.",
    ),
    (
        "The packing was insufficient",
        lambda facts: facts.packing,
        "Condition at origin, the maker's packing record, other crates of the load.",
    ),
    (
        "It happened in our hands",
        lambda facts: facts.our_handling,
        "The manager's answer on the finding, and who moved it with what.",
    ),
    (
        "The carrier had no chance to inspect",
        lambda facts: facts.no_inspection,
        "The day on which inspection was asked for, and that all was held.",
    ),
    (
        "Liability is limited",
        lambda facts: facts.limit,
        (
            "A limit is a ceiling and not a ratio (GAO B-169285, text seen); it must be "
            "agreed in writing (49 U.S.C. 14706(c)(1)(A), secondary source)."
        ),
    ),
    (
        "The consignee unloaded",
        lambda facts: facts.own_unloading,
        "The load was photographed before anything moved.",
    ),
    (
        "Shipper's load and count",
        lambda facts: facts.shippers_count,
        "The count at the dock, with the seal as it was read.",
    ),
    (
        "Documents are missing",
        lambda facts: facts.missing_papers,
        (
            "49 CFR 370.7(b) asks for them when needed (from memory); none is a condition "
            "of filing under 370.3(b)."
        ),
    ),
)


def opposing_arguments(facts: ArgumentFacts) -> tuple[Argument, ...]:
    """Return each argument for which the record holds a fact."""
    return tuple(
        Argument(title, fact, answer)
        for title, fact_of, answer in _ROWS
        if (fact := fact_of(facts))
    )
