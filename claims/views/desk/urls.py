"""Addresses of the drawer desk."""

from django.urls import path

from claims.views.desk import first_day, month_end, reminders, search, stories, truck

urlpatterns = [
    path("", stories.home, name="home"),
    path("welcome/", first_day.welcome, name="welcome"),
    path(
        "welcome/location/", first_day.LocationBoard.as_view(), name="welcome_location"
    ),
    path("welcome/people/", first_day.PeopleBoard.as_view(), name="welcome_people"),
    path(
        "welcome/suppliers/",
        first_day.SuppliersBoard.as_view(),
        name="welcome_suppliers",
    ),
    path(
        "welcome/carriers/", first_day.CarriersBoard.as_view(), name="welcome_carriers"
    ),
    path(
        "welcome/accounts/", first_day.AccountsBoard.as_view(), name="welcome_accounts"
    ),
    path("welcome/truck/", first_day.TruckBoard.as_view(), name="welcome_truck"),
    path("month-end/", month_end.month_end, name="month_end"),
    path("month-end/carry/", month_end.CarryCheck.as_view(), name="carry_check"),
    path(
        "carried-checks/<int:pk>/withdraw/",
        month_end.WithdrawCarried.as_view(),
        name="withdraw_carried",
    ),
    path(
        "locations/<int:pk>/month-end/lock/",
        month_end.LockMonth.as_view(),
        name="lock_month",
    ),
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
    path("search/", search.search, name="search"),
    path("deliveries/<int:pk>/", truck.delivery, name="delivery"),
    path("shipments/<int:pk>/", stories.shipment, name="shipment"),
    path("units/<int:pk>/", stories.unit, name="unit"),
]
