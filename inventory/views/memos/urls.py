"""Addresses of the memo pages."""

from django.urls import path

from inventory.views.memos import (
    dispute_letters,
    importing,
    memos,
    short_credits,
    statements,
    suspense,
)

urlpatterns = [
    path("memos/", memos.memos, name="memos"),
    path("memos/new/", memos.EnterMemo.as_view(), name="enter_memo"),
    path("memos/import/", importing.import_memo, name="import_memo"),
    path("memos/<int:pk>/", memos.memo, name="memo"),
    path(
        "memos/<int:pk>/lines/new/", memos.AddMemoLine.as_view(), name="add_memo_line"
    ),
    path("memos/<int:pk>/post/", memos.PostMemo.as_view(), name="post_memo"),
    path("memos/<int:pk>/reverse/", memos.ReverseMemo.as_view(), name="reverse_memo"),
    path(
        "memos/<int:pk>/again/", memos.EnterMemoAgain.as_view(), name="enter_memo_again"
    ),
    path(
        "memo-lines/<int:pk>/match/",
        memos.MatchMemoLine.as_view(),
        name="match_memo_line",
    ),
    path(
        "memo-lines/<int:pk>/out/", memos.DropMemoLine.as_view(), name="drop_memo_line"
    ),
    path("short-credits/", short_credits.short_credits, name="short_credits"),
    path("short-credits/<int:pk>/", short_credits.short_credit, name="short_credit"),
    path(
        "short-credits/<int:pk>/accept/",
        short_credits.AcceptShort.as_view(),
        name="accept_short",
    ),
    path(
        "short-credits/<int:pk>/dispute/",
        short_credits.DisputeShort.as_view(),
        name="dispute_short",
    ),
    path(
        "short-credits/<int:pk>/won/",
        short_credits.WinShort.as_view(),
        name="win_short",
    ),
    path(
        "short-credits/<int:pk>/write-off/",
        short_credits.AskWriteOff.as_view(),
        name="ask_write_off",
    ),
    path(
        "short-credits/<int:pk>/write-off/agree/",
        short_credits.ApproveWriteOff.as_view(),
        name="approve_write_off",
    ),
    path(
        "short-credits/<int:pk>/undo/",
        short_credits.UndoDecision.as_view(),
        name="undo_short",
    ),
    path(
        "short-credits/<int:pk>/letter.pdf",
        dispute_letters.dispute_letter,
        name="dispute_letter",
    ),
    path(
        "short-credits/<int:pk>/letter/",
        dispute_letters.renew_dispute_letter,
        name="renew_dispute_letter",
    ),
    path("suspense/", suspense.suspense, name="suspense"),
    path("suspense/<int:pk>/", suspense.suspense_line, name="suspense_line"),
    path(
        "suspense/<int:pk>/match/",
        suspense.MatchHeld.as_view(),
        name="match_suspense",
    ),
    path(
        "suspense/<int:pk>/return/",
        suspense.ReturnHeld.as_view(),
        name="return_suspense",
    ),
    path(
        "suspense/<int:pk>/income/",
        suspense.TakeByAnswer.as_view(),
        name="take_suspense",
    ),
    path(
        "suspense/<int:pk>/income/reason/",
        suspense.TakeByReason.as_view(),
        name="take_suspense_by_reason",
    ),
    path("statements/", statements.statements, name="statements"),
    path(
        "suppliers/<int:pk>/statement/",
        statements.StateBalance.as_view(),
        name="state_balance",
    ),
]
