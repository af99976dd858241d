"""The stories written since the last house was made, by what they tell that it lacks.

``test_stories`` compares the names with what the last house's database does not hold:
a table, a state or a kind of event that was added has its story here at once, not only
when the next house is made. A new house empties this table.
"""

from claims.rules.books.kinds import ACCOUNT_KINDS
from tests.upgrade import (
    more_addressees,
    more_books,
    more_deposits,
    more_lists,
    more_mail,
    more_money,
    more_month_ends,
    more_people,
    more_returns,
    more_suspense,
    more_trucks,
    more_way_home,
)

_MONEY = """
any claims.GoingOnCost
any claims.OverlapAnswer
event claim.costs
event claim.costs-here
event claim.overlap
event claim.refused
"""

_HANDED_OVER = """
claims.Claim.state handed-over
event claim.handed-over
"""

_BOOKS = """
any claims.BookingBasis
any claims.ClaimBooking
any claims.ClaimFigure
any claims.ClaimPosting
event books.basis-set
event books.opened
any claims.Remittance
event claim.figure-stated
event remittance.decided
event remittance.matched
event remittance.part-reversed
event remittance.recorded
event remittance.reversed
inventory.Entry.kind remittance-rest
inventory.Entry.kind claim-booked
inventory.Entry.kind claim-credit
inventory.Entry.kind claim-declined
inventory.Entry.kind claim-filed
inventory.Entry.kind claim-loss
inventory.Entry.kind claim-opening
inventory.Entry.kind claim-paid
inventory.Entry.kind claim-reduction
inventory.Entry.kind claim-salvage
inventory.Entry.kind claim-struck
inventory.Entry.kind claim-supplement
inventory.Entry.kind claim-value
inventory.Entry.kind claim-withdrawn
inventory.Entry.kind claim-write-off
inventory.Entry.kind not-pursued
"""
_ACCOUNTS = [f"inventory.Account.kind {kind}" for kind in ACCOUNT_KINDS]
_NUMBERS = [f"inventory.AccountNumber.kind {kind}" for kind in ACCOUNT_KINDS]

_ADDRESSEES = """
any claims.PaperTask
any inventory.CarrierBankruptcy
event carrier.bankrupt
event claim.addressed
event claim.paper-given
event claim.paper-taken
event claim.proven
"""

_SUSPENSE = """
any inventory.SuspenseLine
event suspense.matched
event suspense.opened
event suspense.returned
event suspense.taken
inventory.Account.kind credits-kept
inventory.Account.kind supplier-suspense
inventory.AccountNumber.kind credits-kept
inventory.AccountNumber.kind supplier-suspense
inventory.Entry.kind held-matched
inventory.Entry.kind held-returned
inventory.Entry.kind held-taken
inventory.SuspenseLine.state income
inventory.SuspenseLine.state matched
inventory.SuspenseLine.state open
inventory.SuspenseLine.state returned
"""

_UNDOING = """
event memo.part-posted
event memo.reversed
event return.loss-posted
event return.loss-reversed
event return.reopened
event short.reversed
event short.undone
event suspense.reversed
inventory.ShortCredit.state reversed
inventory.SuspenseLine.state reversed
"""

_LISTS = """
any inventory.ImportedRow
any inventory.ListImport
any claims.ToldClaim
any inventory.RetiredTerms
event claim.delivery-proven
event claim.opened-elsewhere
event deposit.credit-opened
event list.imported
event list.undone
event person.started
inventory.ListImport.kind carriers
inventory.ListImport.kind crate-terms
inventory.ListImport.kind crate-types
inventory.ListImport.kind expected-credits
inventory.ListImport.kind machines
inventory.ListImport.kind open-claims
inventory.ListImport.kind opening-deposits
inventory.ListImport.kind people
inventory.ListImport.kind suppliers
"""

_MONTH_ENDS = """
any inventory.CarriedCheck
event month.carried
event month.opened-again
"""

_WAY_HOME = """
event claim.credited-after-all
event claim.made-way-home
inventory.Account.kind crates-lost-claimed
"""

_DERIVED = """
any claims.CountedBill
any inventory.AccountMonth
any inventory.OpenSum
any inventory.OpenWork
any inventory.SearchKey
any inventory.TreeTile
"""

_SIGN_IN = """
any inventory.LegalHold
event legal-hold.lifted
event legal-hold.placed
any inventory.DockPhone
any inventory.DockPin
any inventory.Passkey
event dock-phone.added
event dock-phone.ended
event passkey.added
event passkey.removed
event pin.removed
event pin.set
any inventory.RecoveryCode
any inventory.SecondFactor
event factor.added
event factor.code-used
event factor.codes-renewed
event factor.removed
event password.changed
event password.link-made
event password.rehashed
event password.reset
"""

TOLD_SINCE = {
    **dict.fromkeys(
        _MONTH_ENDS.strip().splitlines(), more_month_ends.tell_more_month_ends
    ),
    **dict.fromkeys(_DERIVED.strip().splitlines(), more_deposits.tell_more_deposits),
    **dict.fromkeys(_LISTS.strip().splitlines(), more_lists.tell_more_lists),
    **dict.fromkeys(_BOOKS.strip().splitlines(), more_books.tell_more_books),
    **dict.fromkeys(_ACCOUNTS, more_books.tell_more_books),
    **dict.fromkeys(_WAY_HOME.strip().splitlines(), more_way_home.tell_way_home),
    **dict.fromkeys(_NUMBERS, more_deposits.tell_more_deposits),
    **dict.fromkeys(_MONEY.strip().splitlines(), more_money.tell_more_money),
    **dict.fromkeys(_HANDED_OVER.strip().splitlines(), more_money.tell_hand_over),
    "event short.decided": more_returns.tell_more_returns,
    "inventory.Account.kind deposits-written-off": more_returns.tell_more_returns,
    "inventory.AccountNumber.kind deposits-written-off": (
        more_deposits.tell_more_deposits
    ),
    "any inventory.ExchangeRate": more_deposits.tell_more_deposits,
    "event rate.entered": more_deposits.tell_more_deposits,
    "any inventory.UpkeepRun": more_mail.tell_more_mail,
    **dict.fromkeys(_SIGN_IN.strip().splitlines(), more_people.tell_more_people),
    "event delivery.test": more_trucks.tell_test_truck,
    **dict.fromkeys(
        _ADDRESSEES.strip().splitlines(), more_addressees.tell_more_addressees
    ),
    **dict.fromkeys(_SUSPENSE.strip().splitlines(), more_suspense.tell_more_suspense),
    **dict.fromkeys(_UNDOING.strip().splitlines(), more_suspense.tell_more_undoing),
}
"""What is lacking, as the test names it, and the function of ``more_*.py`` that tells it."""
