"""The stories written since the last house was made, by what they tell that it lacks.

``test_stories`` compares the names with what the last house's database does not hold:
a table, a state or a kind of event that was added has its story here at once, not only
when the next house is made. A new house empties this table.
"""

TOLD_SINCE = {}
"""What is lacking, as the test names it, and the function of ``more_*.py`` that tells it.

    "event claim.letter-sent": more_claims.tell_more_claims
"""
