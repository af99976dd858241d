"""The stories written since the last house was made, by what they tell that it lacks.

``test_stories`` compares the names with what the last house's database does not hold:
a table, a state or a kind of event that was added has its story here at once, not only
when the next house is made. A new house empties this table.
"""

from tests.upgrade import more_bench, more_claims, more_letters, more_mail, more_money

_LETTERS = """
any claims.ClaimLetter
event letter.confirmed
event letter.dropped
event letter.received
event letter.sent
inventory.SentDocument.kind claim-letter
"""
_MAILS = """
any claims.CalendarFeed
any claims.MorningMail
any inventory.LaneBeat
any inventory.OutgoingMail
event calendar.ended
event calendar.made
event mail.again
event mail.called-off
event mail.refused
event mail.taken
event morning-mail.asked
event morning-mail.ended
event morning-mail.made
inventory.Evidence.kind statement
inventory.Evidence.kind supplier-paper
inventory.OutgoingMail.state called-off
inventory.OutgoingMail.state refused
inventory.OutgoingMail.state taken
inventory.OutgoingMail.state waiting
inventory.SentDocument.kind mail
"""

_MONEY = """
any claims.ClaimPayment
any claims.ClaimStep
any claims.ClaimStepFile
claims.Claim.state accepted
claims.Claim.state countered
claims.Claim.state not-pursued
claims.Claim.state withdrawing
event claim.accepted
event claim.countered
event claim.inspection
event claim.inspection-asked
event claim.not-pursued
event claim.paid
event claim.papers-asked
event claim.papers-supplied
event claim.payment-decided
event claim.payment-held
event claim.payment-reversed
event claim.permission
event claim.reopened
event claim.salvage-sold
event claim.withdrawal-told
"""

TOLD_SINCE = {
    **dict.fromkeys(_MONEY.strip().splitlines(), more_money.tell_more_money),
    **dict.fromkeys(
        ("any claims.LighterFile", "event packet.lighter"), more_claims.tell_more_claims
    ),
    **dict.fromkeys(_LETTERS.strip().splitlines(), more_letters.tell_more_letters),
    **dict.fromkeys(_MAILS.strip().splitlines(), more_mail.tell_more_mail),
    "event packaging.letter": more_bench.tell_more_bench,
}
"""What is lacking, as the test names it, and the function of ``more_*.py`` that tells it."""
