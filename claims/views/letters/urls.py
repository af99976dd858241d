"""Addresses of the drawer letters."""

from django.urls import path

from claims.views.letters import notices

urlpatterns = [
    path(
        "shipments/<int:pk>/notices/new/<slug:kind>/",
        notices.write_notice,
        name="write_notice",
    ),
    path("notices/<int:pk>/", notices.notice, name="notice"),
    path("notices/<int:pk>/letter.pdf", notices.notice_letter, name="notice_letter"),
    path("notices/<int:pk>/send/", notices.send_notice, name="send_notice"),
    path("notices/<int:pk>/received/", notices.receive_notice, name="receive_notice"),
]
