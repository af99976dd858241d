"""Whom to call at a location."""

from inventory.models import User
from inventory.rules.core.roles import MANAGER


def managers_at(location_id: int) -> list[User]:
    """Return the managers of this location who can sign in, by name."""
    rows = User.objects.filter(
        is_active=True,
        assignments__location_id=location_id,
        assignments__role=MANAGER,
    )
    return list(rows.order_by("full_name", "pk"))
