"""Addresses of the drawer desk."""

from django.urls import path

from claims.views.desk import reminders, stories, truck

urlpatterns = [
    path("", stories.home, name="home"),
    path("cautions/", stories.cautions, name="cautions"),
    path("reminders/", reminders.Reminders.as_view(), name="reminders"),
    path(
        "reminders/calendar/new/",
        reminders.MakeCalendar.as_view(),
        name="make_calendar",
    ),
    path(
        "reminders/calendar/end/", reminders.EndCalendar.as_view(), name="end_calendar"
    ),
    path(
        "reminders/mail/end/",
        reminders.EndMorningMail.as_view(),
        name="end_morning_mail",
    ),
    path("calendar/<str:token>.ics", reminders.calendar, name="calendar"),
    path("search/", stories.search, name="search"),
    path("deliveries/<int:pk>/", truck.delivery, name="delivery"),
    path("shipments/<int:pk>/", stories.shipment, name="shipment"),
    path("units/<int:pk>/", stories.unit, name="unit"),
]
