"""Addresses of the drawer claim."""

from django.urls import path

from claims.views.claim import (
    answers,
    carrier,
    decisions,
    desk,
    endings,
    lines,
    making,
    offers,
    page,
    payments,
    remittance_acts,
    remittances,
    steps,
    supplements,
    way_home,
)

urlpatterns = [
    path("claims/", desk.claims, name="claims"),
    path("claims/<int:pk>/", page.claim, name="claim"),
    path("shipments/<int:pk>/claim/", making.MakeClaim.as_view(), name="make_claim"),
    path(
        "returns/<int:pk>/claim/", way_home.ClaimReturn.as_view(), name="claim_return"
    ),
    path(
        "claims/<int:pk>/credited/",
        way_home.TakeOffCredits.as_view(),
        name="take_off_credits",
    ),
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
    path("remittances/", remittances.remittances, name="remittances"),
    path("remittances/<int:pk>/", remittances.remittance, name="remittance"),
    path(
        "locations/<int:pk>/remittances/new/",
        remittance_acts.RecordRemittance.as_view(),
        name="record_remittance",
    ),
    path(
        "remittances/<int:pk>/rest/",
        remittance_acts.MatchRest.as_view(),
        name="match_rest",
    ),
    path(
        "remittances/<int:pk>/reverse/",
        remittance_acts.ReverseRemittance.as_view(),
        name="reverse_remittance",
    ),
    path(
        "remittances/<int:pk>/decide/",
        remittance_acts.DecideRemittance.as_view(),
        name="decide_remittance",
    ),
    path("carriers/<int:pk>/", carrier.carrier, name="carrier"),
    path(
        "carriers/<int:pk>/bankruptcy/",
        carrier.RecordBankruptcy.as_view(),
        name="record_bankruptcy",
    ),
    path(
        "claims/<int:pk>/court/",
        carrier.RecordProofOfClaim.as_view(),
        name="record_proof_of_claim",
    ),
    path("claims/<int:pk>/to/", steps.AddressClaim.as_view(), name="address_claim"),
    path("claims/<int:pk>/send/", steps.SendClaim.as_view(), name="send_claim"),
    path(
        "claims/<int:pk>/send/carrier/",
        steps.RefileClaim.as_view(),
        name="refile_claim",
    ),
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
    path("claims/<int:pk>/refuse/", offers.RefuseOffer.as_view(), name="refuse_offer"),
    path(
        "claims/<int:pk>/who-else-paid/",
        offers.AskOverlap.as_view(),
        name="ask_overlap",
    ),
    path(
        "claims/<int:pk>/cost-of-going-on/",
        offers.CostsOfClaim.as_view(),
        name="claim_costs",
    ),
    path(
        "locations/<int:pk>/cost-of-going-on/",
        offers.CostsHere.as_view(),
        name="costs_here",
    ),
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
        "claims/<int:pk>/handed-over/",
        endings.HandOver.as_view(),
        name="hand_over_claim",
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
        "claims/<int:pk>/papers/<slug:paper>/give/",
        decisions.GivePaper.as_view(),
        name="give_paper",
    ),
    path(
        "claims/<int:pk>/papers/<slug:paper>/",
        decisions.DecidePaper.as_view(),
        name="decide_paper",
    ),
    path(
        "claims/<int:pk>/delivery-day/",
        steps.ProveDelivery.as_view(),
        name="prove_delivery",
    ),
    path(
        "deadlines/<int:pk>/override/",
        decisions.OverrideDeadline.as_view(),
        name="override_deadline",
    ),
]
