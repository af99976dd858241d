"""Every field of the house in one place to import from.

Each turns what was typed into a domain value, or says what to type instead.
"""

from inventory.forms.choice_fields import PickField, RowField
from inventory.forms.day_fields import DayField, MomentField, check_window, read_day
from inventory.forms.number_fields import CountField, MassField, MoneyField
from inventory.forms.text_fields import LineField, ProField, TextField

__all__ = [
    "CountField",
    "DayField",
    "LineField",
    "MassField",
    "MomentField",
    "MoneyField",
    "PickField",
    "ProField",
    "RowField",
    "TextField",
    "check_window",
    "read_day",
]
