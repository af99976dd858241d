"""What is known about one photo or document beyond its row."""

from inventory.models import EventSubject, Evidence, Location, Withholding


def words_on(evidence: Evidence) -> list[Withholding]:
    """Return each hiding and showing again, oldest first, with the person."""
    return list(
        Withholding.objects.filter(evidence=evidence)
        .select_related("said_by", "evidence__location")
        .order_by("pk")
    )


def withheld_by(evidence: Evidence) -> Withholding | None:
    """Return the event that hides this photo now, or None where it may be shown."""
    words = words_on(evidence)
    return words[-1] if words and words[-1].is_withheld else None


def events_of_withheld(location: Location) -> set[int]:
    """Return the sequence of each event of a photo that is hidden here now."""
    every = Evidence.everything.filter(location=location)
    hidden = every.exclude(pk__in=Evidence.objects.filter(location=location))
    keys = [str(pk) for pk in hidden.values_list("pk", flat=True)]
    told = EventSubject.objects.filter(noun="evidence", key__in=keys)
    return set(
        told.filter(event__kind__startswith="evidence.").values_list(
            "event_id", flat=True
        )
    )
