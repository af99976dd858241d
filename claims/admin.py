"""The upper floor's tables in the superuser's window."""

from inventory.admin import show

show("claims")
