"""What is known of one photo or document beyond its row."""

from inventory.models import Evidence, Withholding


def words_on(evidence: Evidence) -> list[Withholding]:
    """Return each withholding and showing again, oldest first, with who said it."""
    return list(
        Withholding.objects.filter(evidence=evidence)
        .select_related("said_by")
        .order_by("pk")
    )


def withheld_by(evidence: Evidence) -> Withholding | None:
    """Return the word that hides this photo now, or None where it may be shown."""
    words = words_on(evidence)
    return words[-1] if words and words[-1].is_withheld else None
