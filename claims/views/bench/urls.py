"""Addresses of the drawer bench."""

from django.urls import path

from claims.views.bench import (
    decisions,
    desk,
    findings,
    inspections,
    leaving,
    minutes,
    part_tags,
    setup_lines,
    setup_lists,
    setup_sheets,
    setups,
)

urlpatterns = [
    path("bench/", desk.bench, name="bench"),
    path("setup-lists/", setup_lists.setup_lists, name="setup_lists"),
    path(
        "setup-lists/<slug:machine>/",
        setup_lists.EditSetupList.as_view(),
        name="edit_setup_list",
    ),
    path("crates/<int:pk>/open/", desk.OpenCrate.as_view(), name="open_crate"),
    path(
        "units/<int:pk>/inspect/<slug:stage>/",
        inspections.InspectUnit.as_view(),
        name="inspect_unit",
    ),
    path("units/<int:pk>/setup/", setups.setup, name="setup"),
    path(
        "units/<int:pk>/setup/begin/", setups.BeginSetup.as_view(), name="begin_setup"
    ),
    path(
        "units/<int:pk>/setup/lines/<slug:line>/",
        setup_lines.ReadLine.as_view(),
        name="read_line",
    ),
    path(
        "units/<int:pk>/setup/lines/<slug:line>/decide/",
        setup_lines.DecideLine.as_view(),
        name="decide_line",
    ),
    path(
        "units/<int:pk>/setup/lines/<slug:line>/damage/",
        setup_lines.RecordDamage.as_view(),
        name="record_damage",
    ),
    path("units/<int:pk>/model/", setups.EnterModel.as_view(), name="enter_model"),
    path(
        "units/<int:pk>/sign-off/", setups.SignOffSetup.as_view(), name="sign_off_setup"
    ),
    path(
        "units/<int:pk>/release/",
        setups.ReleaseUnsigned.as_view(),
        name="release_unsigned",
    ),
    path("units/<int:pk>/leave/", leaving.Leave.as_view(), name="leave_unit"),
    path("units/<int:pk>/back/", leaving.TakeBack.as_view(), name="take_back_unit"),
    path(
        "shipments/<int:pk>/findings/new/",
        findings.RecordFinding.as_view(),
        name="record_finding",
    ),
    path("findings/<int:pk>/", findings.finding, name="finding"),
    path(
        "findings/<int:pk>/edit/", findings.EditFinding.as_view(), name="edit_finding"
    ),
    path(
        "findings/<int:pk>/price/",
        decisions.PriceFinding.as_view(),
        name="price_finding",
    ),
    path(
        "findings/<int:pk>/handling/",
        decisions.AnswerHandling.as_view(),
        name="answer_handling",
    ),
    path(
        "findings/<int:pk>/route/",
        decisions.RouteFinding.as_view(),
        name="route_finding",
    ),
    path(
        "holds/<int:pk>/release/",
        inspections.ReleaseHold.as_view(),
        name="release_hold",
    ),
    path(
        "units/<int:pk>/setup/sheet.pdf", setup_sheets.setup_sheet, name="setup_sheet"
    ),
    path(
        "sign-offs/<int:pk>/sheet.pdf", setup_sheets.signed_sheet, name="signed_sheet"
    ),
    path("units/<int:pk>/minutes/", minutes.minutes, name="minutes"),
    path(
        "units/<int:pk>/minutes/book/",
        minutes.BookMinutes.as_view(),
        name="book_minutes",
    ),
    path(
        "minutes/<int:pk>/take-back/",
        minutes.ReverseMinutes.as_view(),
        name="reverse_minutes",
    ),
    path("part-tags/", part_tags.part_tags, name="part_tags"),
    path("part-tags/<int:pk>/", part_tags.part_tag, name="part_tag"),
    path("part-tags/<int:pk>/tag.pdf", part_tags.part_tag_pdf, name="part_tag_pdf"),
    path("part-tags/<int:pk>/waive/", part_tags.WaivePart.as_view(), name="waive_part"),
    path(
        "part-tags/<int:pk>/collect/",
        part_tags.CollectPart.as_view(),
        name="collect_part",
    ),
    path("part-tags/<int:pk>/scrap/", part_tags.ScrapPart.as_view(), name="scrap_part"),
    path("findings/<int:pk>/tag/", part_tags.TagPart.as_view(), name="tag_part"),
]
