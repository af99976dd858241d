"""Names of duties on screens and in claim files, and who must meet each."""

from claims.models import Deadline

DUTY_LABELS = {
    "apparent-notice": "Notice of visible damage",
    "concealed-notice": "Notice of concealed damage",
    "delay-notice": "Notice of delay",
    "claim": "Written claim to the carrier",
    "acknowledgement": "Carrier's acknowledgment",
    "disposition": "Carrier pays, declines or offers",
    "suit": "Suit against the carrier",
    "proof-of-claim": "File the proof of claim with the court",
    "supplier-damage": "Damage notice to the supplier",
    "supplier-shortage": "Shortage notice to the supplier",
    "supplier-wrong": "Wrong goods notice to the supplier",
    "supplier-defect": "Defect notice to the supplier",
}


def duty_label(duty: str) -> str:
    """Return the name of a duty; "status-2" is the carrier's second report."""
    if duty.startswith("status-"):
        return f"Carrier's status report {duty.removeprefix('status-')}"
    return DUTY_LABELS.get(duty, duty.replace("-", " ").capitalize())


def deadline_label(row: Deadline) -> str:
    """Return the name of a counted duty; one that waits on no proven day says so."""
    label = duty_label(row.duty)
    return label if row.is_proven or row.met_on else f"{label}, not proven"
