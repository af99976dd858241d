"""What this floor tells the ground floor of itself; ``ClaimsConfig.ready`` hands it in."""

from claims.access import LOCATION_PATHS
from claims.models import DeadlineOverride, FindingPhoto, Packet, PaperDecision
from claims.rules.core.event_kinds import SENTENCES, TONES
from claims.rules.core.roles import ACTS
from inventory.upper_floor import UpperFloor

FLOOR = UpperFloor(
    location_paths=LOCATION_PATHS,
    append_only=(Packet, FindingPhoto, DeadlineOverride, PaperDecision),
    acts=ACTS,
    sentences=SENTENCES,
    tones=TONES,
)
