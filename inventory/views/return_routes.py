"""Addresses of returns, credit memos, differences and statements."""

from django.urls import path

from inventory.views import (
    memo_import,
    memos,
    return_acts,
    return_planning,
    returns,
    short_credits,
    statements,
)

_RETURNS = [
    path("returns/", returns.returns, name="returns"),
    path("returns/new/", returns.make_return, name="make_return"),
    path("returns/<int:pk>/", returns.crate_return, name="crate_return"),
    path("returns/<int:pk>/edit/", return_planning.edit_return, name="edit_return"),
    path("returns/<int:pk>/crates/", return_planning.stage_crates, name="stage_crates"),
    path("returns/<int:pk>/ship/", return_acts.ship_return, name="ship_return"),
    path(
        "returns/<int:pk>/received/", return_acts.receive_return, name="receive_return"
    ),
    path(
        "returns/<int:pk>/cancel/", return_planning.cancel_return, name="cancel_return"
    ),
    path("returns/<int:pk>/bill.pdf", return_acts.return_bol, name="return_bol"),
    path(
        "returns/<int:pk>/packing-list.pdf",
        return_acts.return_packing_list,
        name="return_packing_list",
    ),
    path(
        "return-lines/<int:pk>/off/",
        return_planning.take_off_crate,
        name="take_off_crate",
    ),
    path("return-lines/<int:pk>/lost/", return_acts.lose_crate, name="lose_crate"),
]

_MEMOS = [
    path("memos/", memos.memos, name="memos"),
    path("memos/new/", memos.enter_memo, name="enter_memo"),
    path("memos/import/", memo_import.import_memo, name="import_memo"),
    path("memos/<int:pk>/", memos.memo, name="memo"),
    path("memos/<int:pk>/lines/new/", memos.add_memo_line, name="add_memo_line"),
    path("memos/<int:pk>/post/", memos.post_memo, name="post_memo"),
    path("memo-lines/<int:pk>/match/", memos.match_memo_line, name="match_memo_line"),
    path("memo-lines/<int:pk>/out/", memos.drop_memo_line, name="drop_memo_line"),
]

_SHORTS = [
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
        short_credits.dispute_letter,
        name="dispute_letter",
    ),
]

_STATEMENTS = [
    path("statements/", statements.statements, name="statements"),
    path(
        "suppliers/<int:pk>/statement/", statements.state_balance, name="state_balance"
    ),
]

routes = [*_RETURNS, *_MEMOS, *_SHORTS, *_STATEMENTS]
