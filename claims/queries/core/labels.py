"""How duties are named on screens and in packets, and by whose hand each is met."""

DUTY_LABELS = {
    "apparent-notice": "Notice of damage that could be seen",
    "concealed-notice": "Notice of concealed damage",
    "delay-notice": "Notice of delay",
    "claim": "Claim received by the carrier",
    "acknowledgement": "Carrier's acknowledgement",
    "disposition": "Carrier pays, declines or offers",
    "suit": "Suit against the carrier",
    "supplier-damage": "Damage reported to the supplier",
    "supplier-shortage": "Shortage reported to the supplier",
    "supplier-wrong": "Wrong goods reported to the supplier",
    "supplier-defect": "Defect reported to the supplier",
}


def duty_label(duty: str) -> str:
    """Return the words for a duty; "status-2" is the carrier's second report."""
    if duty.startswith("status-"):
        return f"Carrier's status report {duty.removeprefix('status-')}"
    return DUTY_LABELS.get(duty, duty.replace("-", " ").capitalize())
