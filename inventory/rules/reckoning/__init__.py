"""Money, calendars, periods, measures and places."""
