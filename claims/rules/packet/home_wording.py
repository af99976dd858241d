"""The sentences of a claim file about crates that we shipped and that did not arrive.

Our own words; what each must say is that of ``wording``.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class TakenFacts:
    """Who took how much from whom; empty text means: not known."""

    carrier: str
    place: str
    consignee: str
    bol: str
    pro: str
    taken_on: str
    received_on: str
    crates: str
    driver: str = ""
    driver_count: int | None = None
    is_signed: bool = False


def taken(facts: TakenFacts) -> str:
    """Return that the carrier took the load, what its driver signed, what arrived."""
    on = f"On {facts.taken_on}, " if facts.taken_on else ""
    pro = f" and its freight bill {facts.pro}" if facts.pro else ""
    told = [
        (
            f"{on}{facts.carrier} took {facts.crates}, empty and returnable, from our dock at "
            f"{facts.place} under our bill of lading {facts.bol}{pro}, for delivery to "
            f"{facts.consignee}."
        )
    ]
    if facts.is_signed and facts.driver_count is not None:
        who = f"Your driver, {facts.driver}," if facts.driver else "Your driver"
        told.append(f"{who} signed for {facts.driver_count}.")
    if facts.received_on:
        told.append(f"{facts.consignee} received the load on {facts.received_on}.")
    return " ".join(told)
