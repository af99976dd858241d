"""Dates that the house did not think up, each beside its source.

"text seen", "secondary" and "from memory" say how sure we are of the rule or
value; "derived" means that the source gives the rule and the date follows by
counting. "in the source" marks dates that the source itself prints.
"""

import datetime as dt

import pytest

from claims.rules.reckon.deadlines import reckon_deadlines
from inventory.rules.reckon.period import reckon_period
from inventory.rules.reckoning.calendars import calendar_named, holiday_on

PERIODS = [
    # from, count, unit, more, expected, source
    ("1978-09-30", 4, "months", {}, "1979-01-30",
     "Dodds v Walker [1981] 1 WLR 1027, text seen, in the source"),
    ("2007-08-02", 30, "days", {"roll": "next", "calendar": "US"}, "2007-09-04",
     "Fed. R. Civ. P. 6(a), 2009 committee note: Sat 1 Sep, Labor Day, Tue 4 Sep"),
    ("2007-09-22", 21, "days",
     {"direction": "backward", "roll": "continue", "calendar": "US"}, "2007-08-31",
     "Fed. R. Civ. P. 6(a)(5), 2009 note: backward from Sat 1 Sep to Fri 31 Aug, secondary"),
    ("2009-12-01", 14, "days", {}, "2009-12-15",
     "Fed. R. Civ. P. 6, 2009 note: the new 14 days end with the old 10, secondary"),
    ("2009-12-01", 10, "business-days", {"calendar": "US"}, "2009-12-15",
     "Fed. R. Civ. P. 6, 2009 note: the old 10 days end with the new 14, secondary"),
    ("2025-05-31", 9, "months", {}, "2026-02-28",
     "corresponding date rule, derived"),
    ("2024-01-31", 1, "months", {}, "2024-02-29",
     "N.Y. Gen. Constr. Law sec. 30, from memory, derived"),
    ("2026-06-01", 10, "days", {}, "2026-06-11",
     "N.Y. Gen. Constr. Law sec. 20, from memory, derived"),
    ("2026-06-04", 30, "days", {"roll": "next", "calendar": "US"}, "2026-07-06",
     "N.Y. Gen. Constr. Law sec. 25-a, from memory, derived"),
    ("2026-04-22", 10, "days", {"roll": "next", "calendar": "DE"}, "2026-05-04",
     "Reg. (EEC, Euratom) 1182/71 Art 3(4), text seen, derived"),
    ("2025-08-31", 6, "months", {}, "2026-02-28",
     "Reg. (EEC, Euratom) 1182/71 Art 3(2)(c), secondary, derived"),
    ("2026-04-02", 7, "days",
     {"except": "sundays-and-holidays", "holidays": ["2026-04-03", "2026-04-06"]},
     "2026-04-13", "CMR Art 30(1), derived"),
    ("2025-10-31", 4, "months", {}, "2026-02-28",
     "Interpretation Act, R.S.C. 1985, c. I-21, s. 28, from memory, derived"),
    ("2026-01-31", 1, "months", {}, "2026-02-28",
     "BGB sec. 188(3), from memory, derived"),
    ("2026-04-25", 7, "days", {"roll": "next", "calendar": "DE"}, "2026-05-04",
     "BGB secs. 187(1), 193, from memory, derived: Sat 2 May to Mon 4 May"),
    ("2026-03-31", 1, "months", {}, "2026-04-30",
     "Code de procedure civile (France) art. 641, from memory, derived"),
    ("2006-10-02", 14, "days", {}, "2006-10-16",
     "Civil Procedure Rules (England) 2.8(3) example, from memory, in the source"),
    ("2006-10-20", 4, "days", {"direction": "backward"}, "2006-10-16",
     "Civil Procedure Rules 2.8(3) example: three clear days, from memory"),
    ("2008-10-20", 4, "business-days", {"direction": "backward"}, "2008-10-14",
     "Civil Procedure Rules 2.8(4) example: three clear days, from memory"),
    ("2008-10-01", 151, "business-days", {}, "2009-04-30",
     "Microsoft Excel WORKDAY documentation, from memory, in the source"),
    ("2008-10-01", 151, "business-days",
     {"holidays": ["2008-11-26", "2008-12-04", "2009-01-21"]}, "2009-05-05",
     "Microsoft Excel WORKDAY documentation, from memory, in the source"),
    ("2011-01-15", 1, "months", {}, "2011-02-15",
     "Microsoft Excel EDATE documentation, from memory, in the source"),
    ("2011-01-15", 1, "months", {"direction": "backward"}, "2010-12-15",
     "Microsoft Excel EDATE documentation, from memory, in the source"),
    ("2011-01-15", 2, "months", {}, "2011-03-15",
     "Microsoft Excel EDATE documentation, from memory, in the source"),
    ("2003-01-31", 1, "months", {}, "2003-02-28",
     "python-dateutil documentation, from memory, in the source"),
    ("2003-01-31", 2, "months", {}, "2003-03-31",
     "python-dateutil documentation, from memory, in the source"),
    ("2000-02-28", 1, "years", {}, "2001-02-28",
     "python-dateutil documentation, from memory, in the source"),
    ("1999-02-28", 1, "years", {}, "2000-02-28",
     "python-dateutil documentation, from memory, in the source"),
    ("2011-06-23", 1, "business-days", {}, "2011-06-24",
     "numpy datetime documentation, busday_offset, from memory, in the source"),
    ("2011-06-23", 2, "business-days", {}, "2011-06-27",
     "numpy datetime documentation, busday_offset, from memory, in the source"),
    ("2026-03-01", 45, "days", {}, "2026-04-15",
     "USGS Survey Manual 410.5: discrepancy report in 45 days, text seen, derived"),
    ("2026-11-20", 5, "business-days", {"calendar": "US"}, "2026-11-30",
     "NMFC Item 300135-A(e), Thanksgiving left out, text seen, derived"),
    ("2026-11-20", 5, "business-days", {}, "2026-11-27",
     "NMFC Item 300135-A(e), holidays counted, text seen, derived"),
]  # fmt: skip


@pytest.mark.parametrize("case", PERIODS)
def test_a_period_ends_where_the_source_says(case):
    start, count, unit, more, due, source = case
    question = {"from": start, "count": count, "unit": unit, **more}
    assert reckon_period(question)["due"] == due, source


DEADLINES = [
    # facts, duty, due, source
    ({"regime": "us-motor", "claim_received_on": "2026-01-15"}, "acknowledgement",
     "2026-02-14", "49 CFR 370.5(a), secondary, derived"),
    ({"regime": "us-motor", "claim_received_on": "2026-01-15"}, "disposition",
     "2026-05-15", "49 CFR 370.9(a), secondary, derived"),
    ({"regime": "us-motor", "claim_received_on": "2026-01-15"}, "status-1",
     "2026-07-14", "49 CFR 370.9(b), secondary, derived"),
    ({"regime": "us-motor", "claim_received_on": "2026-01-15"}, "status-2",
     "2026-09-12", "49 CFR 370.9(b), secondary, derived"),
    ({"regime": "us-rail", "claim_received_on": "2026-01-15"}, "disposition",
     "2026-05-15", "49 CFR 1005.5, from memory, derived"),
    ({"regime": "us-motor-older", "delivered_on": "1995-07-05"}, "claim",
     "1996-04-05", "Delphax v. Mayflower (D. Mass. 1999), secondary, date derived"),
    ({"regime": "us-motor", "bill_date": "2015-04-17", "delivered_on": "2015-04-20",
      "concealed": True}, "concealed-notice", "2015-05-05",
     "NMFC Item 300135 before 18 Apr 2015: 15 days, secondary, derived"),
    ({"regime": "us-motor", "bill_date": "2015-04-18", "delivered_on": "2015-04-20",
      "concealed": True}, "concealed-notice", "2015-04-27",
     "NMF 100-AO Supp. 1, effective 18 Apr 2015: 5 business days, text seen, derived"),
    ({"regime": "us-motor", "loss": "non-delivery", "bill_date": "2026-01-10"}, "claim",
     "2026-10-10", "NMFC Item 300105-A: loss from the bill's date, secondary, derived"),
    ({"regime": "us-motor", "disallowed_on": "2026-03-10"}, "suit", "2028-03-10",
     "49 U.S.C. 14706(e)(1), secondary, derived"),
    ({"regime": "us-rail", "disallowed_on": "2018-03-10"}, "suit", "2020-03-10",
     "49 U.S.C. 11706(e); Whatley v. Canadian Pacific (8th Cir. 2018), secondary, derived"),
    ({"regime": "us-motor-older", "disallowed_on": "2012-03-10"}, "suit", "2014-03-11",
     "Uniform bill sec. 3 before 2016: two years and one day, text seen, derived"),
    ({"regime": "canada-road", "delivered_on": "2026-03-02", "concealed": False},
     "apparent-notice", "2026-05-01",
     "O. Reg. 643/05 (Ontario), notice in 60 days, text seen, derived"),
    ({"regime": "canada-road", "bill_date": "2026-02-20", "delivered_on": "2026-03-02"},
     "claim", "2026-11-20",
     "Quebec T-12, r. 6: nine months from shipment, text seen, derived"),
    ({"regime": "cmr", "concealed": True, "delivered_on": "2026-04-02",
      "holidays": ["2026-04-03", "2026-04-06"]}, "concealed-notice", "2026-04-13",
     "CMR Art 30(1), (4), secondary, derived"),
    ({"regime": "cmr", "loss": "delay", "delivered_on": "2026-04-02"}, "delay-notice",
     "2026-04-23", "CMR Art 30(3), from memory, derived"),
    ({"regime": "cmr", "delivered_on": "2026-04-02"}, "suit", "2027-04-02",
     "CMR Art 32(1)(a), text seen, derived"),
    ({"regime": "cmr", "loss": "non-delivery", "agreed_delivery_on": "2026-01-10"},
     "suit", "2027-02-09", "CMR Art 32(1)(b), the 30th day, text seen, derived"),
    ({"regime": "cmr", "loss": "non-delivery", "taken_over_on": "2026-01-10"},
     "suit", "2027-03-11", "CMR Art 32(1)(b), the 60th day, text seen, derived"),
    ({"regime": "cmr", "delivered_on": "2026-01-10", "claim_received_on": "2026-03-01",
      "disallowed_on": "2026-04-01"}, "suit", "2027-02-10",
     "CMR Art 32(2): suspended for 31 days, text seen, derived"),
    ({"regime": "cogsa", "concealed": True, "delivered_on": "2026-04-02"},
     "concealed-notice", "2026-04-05", "COGSA sec. 3(6), text seen, derived"),
    ({"regime": "cogsa", "delivered_on": "2024-02-29"}, "suit", "2025-02-28",
     "COGSA sec. 3(6), text seen; clamp by Dodds v Walker, derived"),
    ({"regime": "hague-visby", "delivered_on": "2026-04-02"}, "suit", "2027-04-02",
     "Hague-Visby Art III r.6, from memory, derived"),
    ({"regime": "montreal", "concealed": True, "delivered_on": "2026-04-02"},
     "concealed-notice", "2026-04-16", "Montreal Art 31(2), secondary, derived"),
    ({"regime": "montreal", "loss": "delay", "delivered_on": "2026-04-02"},
     "delay-notice", "2026-04-23", "Montreal Art 31(2), secondary, derived"),
    ({"regime": "montreal", "arrived_on": "2026-04-01", "delivered_on": "2026-04-02"},
     "suit", "2028-04-01", "Montreal Art 35(1), secondary, derived"),
    ({"regime": "cim", "concealed": True, "delivered_on": "2026-04-02"},
     "concealed-notice", "2026-04-09", "CIM Art 47(2)(b), from memory, derived"),
    ({"regime": "cim", "loss": "delay", "delivered_on": "2026-04-02"}, "delay-notice",
     "2026-06-01", "CIM Art 47(2)(c), from memory, derived"),
    ({"regime": "cim", "loss": "non-delivery", "agreed_delivery_on": "2026-01-10"},
     "suit", "2027-02-09", "CIM Art 48(2)(a), from memory, derived"),
    ({"regime": "us-motor", "delivered_on": "2026-04-02", "through_bill": True}, "suit",
     "2027-04-02", "Kirby, 543 U.S. 14 (2004): the ocean year inland, from memory"),
]  # fmt: skip


@pytest.mark.parametrize(("facts", "duty", "due", "source"), DEADLINES)
def test_a_duty_falls_due_when_the_source_says(facts, duty, due, source):
    found = reckon_deadlines(facts)["deadlines"]
    assert [each["due"] for each in found if each["duty"] == duty] == [due], source


OPM = "OPM table of federal holidays, from memory, in the source"
HOLIDAYS = [
    # calendar, day, is observed (not actual), source
    ("US", "2026-07-03", True, "5 U.S.C. 6103(b): Saturday kept on Friday"),
    ("US", "2026-07-04", False, "5 U.S.C. 6103(a), text seen"),
    ("US", "2027-07-05", True, "Executive Order 11582: Sunday kept on Monday"),
    ("US", "2021-12-31", True, f"{OPM}: New Year's Day 2022 kept in 2021"),
    ("US", "2021-06-18", True, f"{OPM}: the first Juneteenth"),
    ("US", "2026-01-19", False, OPM),
    ("US", "2026-02-16", False, OPM),
    ("US", "2026-05-25", False, OPM),
    ("US", "2026-09-07", False, OPM),
    ("US", "2026-10-12", False, OPM),
    ("US", "2026-11-26", False, OPM),
    ("CA-ON", "2026-02-16", False, "Family Day, Employment Standards Act (Ontario), from memory"),
    ("GB-ENG", "2026-12-28", True, "gov.uk bank holidays: substitute day, from memory"),
    ("DE-BY", "2026-06-04", False, "Bavarian Feiertagsgesetz Art 1: Corpus Christi, from memory"),
    ("DE", "2026-04-03", False, "Easter tables: Easter on 5 Apr 2026, so Good Friday"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "day", "is_observed", "source"), HOLIDAYS)
def test_a_holiday_is_kept_on_the_day_the_source_says(code, day, is_observed, source):
    found = holiday_on(dt.date.fromisoformat(day), calendar_named(code))
    assert found is not None, source
    assert found.is_observed is is_observed, source


NO_HOLIDAYS = [
    ("US", "2020-06-19", "Juneteenth is a holiday since 17 Jun 2021 only"),
    ("CA-AB", "2026-04-06", "Easter Monday is no general holiday in Alberta, from memory"),
    ("DE-BE", "2026-06-04", "Corpus Christi is none in Berlin, from memory"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "day", "source"), NO_HOLIDAYS)
def test_a_day_is_no_holiday_where_the_source_names_none(code, day, source):
    assert holiday_on(dt.date.fromisoformat(day), calendar_named(code)) is None, source


def test_the_late_application_in_dodds_v_walker_was_a_day_late():
    due = reckon_period({"from": "1978-09-30", "count": 4, "unit": "months"})["due"]
    assert (dt.date(1979, 1, 31) - dt.date.fromisoformat(due)).days == 1


def test_received_counts_and_not_mailed():
    """Trailblazers v. Central Freight Lines (S.D. Tex. 1996), secondary."""
    facts = {"regime": "us-motor", "delivered_on": "2026-04-02"}
    (claim,) = [
        each for each in reckon_deadlines(facts)["deadlines"] if each["duty"] == "claim"
    ]
    assert any("reached the carrier" in note for note in claim["notes"])


def test_silence_starts_no_suit_clock():
    """49 U.S.C. 14706(e), from memory; Whatley (8th Cir. 2018), secondary."""
    facts = {
        "regime": "us-motor",
        "claim_received_on": "2020-01-15",
        "as_of": "2026-01-15",
    }
    duties = {each["duty"] for each in reckon_deadlines(facts)["deadlines"]}
    assert "suit" not in duties
