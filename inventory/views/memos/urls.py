"""Addresses of the drawer memos."""

from django.urls import path

from inventory.views.memos import (
    dispute_letters,
    importing,
    memos,
    short_credits,
    statements,
)

urlpatterns = [
    path("memos/", memos.memos, name="memos"),
    path("memos/new/", memos.enter_memo, name="enter_memo"),
    path("memos/import/", importing.import_memo, name="import_memo"),
    path("memos/<int:pk>/", memos.memo, name="memo"),
    path("memos/<int:pk>/lines/new/", memos.add_memo_line, name="add_memo_line"),
    path("memos/<int:pk>/post/", memos.post_memo, name="post_memo"),
    path("memo-lines/<int:pk>/match/", memos.match_memo_line, name="match_memo_line"),
    path("memo-lines/<int:pk>/out/", memos.drop_memo_line, name="drop_memo_line"),
    path("short-credits/", short_credits.short_credits, name="short_credits"),
    path("short-credits/<int:pk>/", short_credits.short_credit, name="short_credit"),
    path(
        "short-credits/<int:pk>/accept/",
        short_credits.accept_short,
        name="accept_short",
    ),
    path(
        "short-credits/<int:pk>/dispute/",
        short_credits.dispute_short,
        name="dispute_short",
    ),
    path("short-credits/<int:pk>/won/", short_credits.win_short, name="win_short"),
    path(
        "short-credits/<int:pk>/write-off/",
        short_credits.ask_write_off,
        name="ask_write_off",
    ),
    path(
        "short-credits/<int:pk>/write-off/agree/",
        short_credits.approve_write_off,
        name="approve_write_off",
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
    path("statements/", statements.statements, name="statements"),
    path(
        "suppliers/<int:pk>/statement/", statements.state_balance, name="state_balance"
    ),
]
