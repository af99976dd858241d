"""Addresses of the drawer claim."""

from django.urls import path

from claims.views.claim import (
    answers,
    decisions,
    desk,
    endings,
    lines,
    making,
    page,
    payments,
    steps,
    supplements,
)

urlpatterns = [
    path("claims/", desk.claims, name="claims"),
    path("claims/<int:pk>/", page.claim, name="claim"),
    path("shipments/<int:pk>/claim/", making.MakeClaim.as_view(), name="make_claim"),
    path(
        "claims/<int:pk>/supplement/",
        making.SupplementClaim.as_view(),
        name="supplement_claim",
    ),
    path("lines/<int:pk>/adjust/", lines.AdjustLine.as_view(), name="adjust_line"),
    path("lines/<int:pk>/strike/", lines.StrikeLine.as_view(), name="strike_line"),
    path(
        "lines/<int:pk>/estimate/", lines.TakeEstimate.as_view(), name="take_estimate"
    ),
    path("claims/<int:pk>/send/", steps.SendClaim.as_view(), name="send_claim"),
    path(
        "claims/<int:pk>/received/",
        steps.RecordReceipt.as_view(),
        name="record_receipt",
    ),
    path(
        "claims/<int:pk>/acknowledged/",
        steps.RecordAcknowledgement.as_view(),
        name="record_acknowledgement",
    ),
    path("claims/<int:pk>/offer/", answers.RecordOffer.as_view(), name="record_offer"),
    path(
        "claims/<int:pk>/counter/",
        answers.RecordCounter.as_view(),
        name="record_counter",
    ),
    path("claims/<int:pk>/accept/", answers.AcceptOffer.as_view(), name="accept_offer"),
    path(
        "claims/<int:pk>/disallowed/",
        answers.RecordDisallowance.as_view(),
        name="record_disallowance",
    ),
    path(
        "claims/<int:pk>/inspection/asked/",
        answers.AskInspection.as_view(),
        name="ask_inspection",
    ),
    path(
        "claims/<int:pk>/inspection/",
        answers.RecordInspection.as_view(),
        name="record_inspection",
    ),
    path(
        "claims/<int:pk>/permission/",
        answers.RecordPermission.as_view(),
        name="record_permission",
    ),
    path(
        "claims/<int:pk>/documents/asked/",
        answers.AskPapers.as_view(),
        name="ask_papers",
    ),
    path(
        "claims/<int:pk>/documents/supplied/",
        answers.SupplyPapers.as_view(),
        name="supply_papers",
    ),
    path(
        "claims/<int:pk>/salvage/",
        answers.RecordSalvage.as_view(),
        name="record_salvage",
    ),
    path(
        "claims/<int:pk>/payment/",
        payments.RecordPayment.as_view(),
        name="record_payment",
    ),
    path(
        "payments/<int:pk>/reverse/",
        payments.ReversePayment.as_view(),
        name="reverse_payment",
    ),
    path(
        "payments/<int:pk>/decide/",
        payments.DecidePayment.as_view(),
        name="decide_payment",
    ),
    path(
        "claims/<int:pk>/settled/",
        endings.SettleClaim.as_view(),
        name="record_settlement",
    ),
    path(
        "claims/<int:pk>/not-pursued/", endings.GiveUp.as_view(), name="give_up_claim"
    ),
    path(
        "claims/<int:pk>/withdraw/",
        endings.WithdrawClaim.as_view(),
        name="withdraw_claim",
    ),
    path(
        "claims/<int:pk>/withdraw/sent/",
        endings.TellWithdrawal.as_view(),
        name="tell_withdrawal",
    ),
    path("claims/<int:pk>/reopen/", endings.ReopenClaim.as_view(), name="reopen_claim"),
    path(
        "supplements/<int:pk>/send/",
        supplements.SendSupplement.as_view(),
        name="send_supplement",
    ),
    path(
        "supplements/<int:pk>/received/",
        supplements.ReceiveSupplement.as_view(),
        name="receive_supplement",
    ),
    path(
        "claims/<int:pk>/papers/<slug:paper>/",
        decisions.DecidePaper.as_view(),
        name="decide_paper",
    ),
    path(
        "deadlines/<int:pk>/override/",
        decisions.OverrideDeadline.as_view(),
        name="override_deadline",
    ),
]
