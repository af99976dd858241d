"""Credit memos and what they leave, through the pages."""

import uuid
from datetime import UTC, datetime
from io import BytesIO

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook

from inventory.actions.memos.posting import post_memo
from inventory.models import BalanceAssertion, CreditMemo, Entry, Evidence, ShortCredit
from tests import making
from tests.inventory.views.returns.test_returns import words_of
from tests.pictures import jpeg
from tests.prepared_once import PreparedOnce
from tests.returning import AT, balances, make_stage, memo_of, ready_crate, shipped

pytestmark = pytest.mark.database

NOW = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)


@time_machine.travel(NOW, tick=False)
class Case(PreparedOnce):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()
        cls.home = shipped(
            cls.book, driver_name="Lou Parr", driver_count=3, how_signed="signed"
        )
        cls.one, cls.two, cls.three = cls.book.crates
        cls.prepare_class()

    def setUp(self):
        self.client.force_login(self.book.who.abel)

    def send(self, name, *keys, **data):
        return self.client.post(reverse(name, args=keys), data)

    def head(self, **over):
        values = {
            "supplier": self.book.supplier.pk,
            "number": "cm 77",
            "dated_on": "2026-04-20",
            "received_on": "2026-04-22",
            "lines-TOTAL_FORMS": "8",
            "lines-INITIAL_FORMS": "0",
        }
        return {**values, **over}


@time_machine.travel(NOW, tick=False)
class TestTotals(Case):
    """A memo of two crates at 120.00 and one that is not ours, in its file."""

    def total_row(self, memo):
        answer = self.client.get(reverse("memo", args=[memo.pk]), {"as": "csv"})
        head, *_lines, total = (
            line.split(",") for line in answer.content.decode("utf-8-sig").splitlines()
        )
        return dict(zip(head, total, strict=True))

    def test_the_difference_is_between_the_two_columns_beside_it(self):
        memo = memo_of(
            self.book, (self.one, 12_000), (self.two, 6_000), ("ZZ-77", 1_000)
        )
        # 120 + 60 + 10 = 190 on the memo; 180 for our crates, 240 expected, 60 short.
        expected = {
            "On the memo": "190.00",
            "For our crates": "180.00",
            "Expected": "240.00",
            "Difference": "-60.00",
            "Held in suspense": "10.00",
        }
        for is_posted in (False, True):
            with self.subTest(is_posted=is_posted):
                row = self.total_row(memo)
                assert {name: row[name] for name in expected} == expected
            post_memo(memo=memo, version=memo.version, person=self.book.who.abel, at=AT)

    def test_what_goes_beyond_the_charge_is_no_difference(self):
        memo = memo_of(self.book, (self.one, 12_700))
        for _ in range(2):
            row = self.total_row(memo)
            assert (row["For our crates"], row["Held in suspense"]) == (
                "120.00",
                "7.00",
            )
            assert row["Difference"] == "0.00"
            post_memo(memo=memo, version=1, person=self.book.who.abel, at=AT)


@time_machine.travel(NOW, tick=False)
class TestTyping(Case):
    def test_a_memo_is_typed_line_by_line(self):
        typed = {
            "lines-0-mark": self.one.mark,
            "lines-0-amount": "120.00",
            "lines-2-mark": self.two.mark,
            "lines-2-amount": "90",
            "lines-2-remark": "late",
        }
        told = self.head(**typed)
        answer = self.send("enter_memo", **told)
        memo = CreditMemo.objects.get()
        self.assertRedirects(answer, reverse("memo", args=[memo.pk]))
        assert memo.number == "CM 77"
        lines = list(memo.lines.values_list("position", "amount_cents", "fate"))
        assert lines == [(1, 12_000, "as-expected"), (2, 9_000, "late")]

    def test_what_was_typed_comes_back_with_what_is_missing(self):
        typed = {"lines-0-mark": "A-1", "lines-1-amount": "5", "lines-3-amount": "x"}
        told = self.head(number="", **typed)
        answer = self.send("enter_memo", **told)
        assert answer.status_code == 422
        for words in (
            "Enter the number on the memo.",
            "Check the lines under “Lines of the memo”.",
            "Crate mark or GRAI 1, Amount credited: Enter an amount, such as 185.00.",
            "Crate mark or GRAI 2: Enter the crate mark, or the crate type.",
            "Crate mark or GRAI 4, Amount credited: That is not an amount.",
            'value="A-1"',
        ):
            self.assertContains(answer, words, status_code=422)
        assert not CreditMemo.objects.exists()

    def test_a_memo_needs_a_line(self):
        answer = self.send("enter_memo", **self.head())
        self.assertContains(answer, "Enter at least one line", status_code=422)

    def test_a_number_is_taken_once(self):
        line = {"lines-0-mark": self.one.mark, "lines-0-amount": "120"}
        told = self.head(**line)
        self.send("enter_memo", **told)
        answer = self.send("enter_memo", **told)
        self.assertContains(answer, "is already entered", status_code=422)

    def test_a_line_is_added_matched_and_taken_out(self):
        memo = memo_of(self.book, ("HT-0O1", 12_000))
        self.send("add_memo_line", memo.pk, mark=self.two.mark, amount="120.00")
        first, second = memo.lines.order_by("position")
        deposit = self.book.deposits[0].pk
        self.send("match_memo_line", first.pk, version=1, deposit=deposit)
        first.refresh_from_db()
        assert first.fate == "as-expected"
        self.send("drop_memo_line", second.pk, version=second.version)
        assert memo.lines.count() == 1

    def test_a_line_is_matched_to_exactly_one_thing(self):
        memo = memo_of(self.book, ("HT-0O1", 12_000))
        line = memo.lines.get()
        for told in (
            {},
            {"deposit": self.book.deposits[0].pk, "is_not_ours": "on"},
            {"deposit": "9" * 30},
        ):
            answer = self.send("match_memo_line", line.pk, version=1, **told)
            assert answer.status_code == 422, told
        self.send("match_memo_line", line.pk, version=1, is_not_ours="on")
        line.refresh_from_db()
        assert line.fate == "not-ours"


@time_machine.travel(NOW, tick=False)
class TestPosting(Case):
    def test_a_double_click_pays_once(self):
        memo = memo_of(self.book, (self.one, 12_000))
        for _ in range(2):
            self.send("post_memo", memo.pk, version=memo.version)
        assert Entry.objects.filter(kind="memo").count() == 1
        page = self.client.get(reverse("memo", args=[memo.pk]))
        self.assertContains(page, "was already posted. Nothing was changed.")

    def test_what_is_not_matched_is_told(self):
        here = ready_crate(self.book, mark="HERE-1")
        memo = memo_of(self.book, (here, 12_000))
        answer = self.client.post(
            reverse("post_memo", args=[memo.pk]), {"version": memo.version}, follow=True
        )
        self.assertContains(answer, "Line 1 is not matched")
        self.assertContains(answer, "Our books do not show this crate as shipped back")

    def test_a_damaged_version_posts_nothing(self):
        memo = memo_of(self.book, (self.one, 12_000))
        for bad in ("", "x", "-1", "9" * 30, "１"):
            self.send("post_memo", memo.pk, version=bad)
        assert not Entry.objects.filter(kind="memo").exists()

    def test_the_page_shows_what_came_short(self):
        memo = memo_of(self.book, (self.one, 9_000, "was late"))
        post_memo(memo=memo, version=memo.version, person=self.book.who.abel, at=AT)
        page = self.client.get(reverse("memo", args=[memo.pk]))
        self.assertContains(page, "$30.00 short")
        self.assertContains(page, "Short: returned late")


def csv_of(*rows, header="mark,type,amount,remark"):
    text = "\n".join([header, *rows])
    return SimpleUploadedFile("memo.csv", text.encode(), "text/csv")


def xlsx_of(*rows):
    book = Workbook()
    for row in (("Mark", "Amount", "Remark"), *rows):
        book.active.append(row)
    out = BytesIO()
    book.save(out)
    return SimpleUploadedFile("memo.xlsx", out.getvalue(), "application/vnd.ms")


@time_machine.travel(NOW, tick=False)
class TestImport(Case):
    def load(self, sheet, **over):
        return self.client.post(
            reverse("import_memo"), {**self.head(**over), "sheet": sheet}
        )

    def test_the_first_sending_only_shows(self):
        answer = self.load(
            csv_of(
                f"{self.one.mark},,120.00,", f"{self.two.mark},,90.00,late", "Z9,,4,"
            )
        )
        assert answer.status_code == 200
        assert not CreditMemo.objects.exists()
        for words in (
            "Nothing is saved.",
            "Paid as expected.",
            "$30.00 short of the $120.00 expected",
            "Not ours. Its amount is held in suspense until you decide it.",
            "1 crate of the same returns is missing from it",
            self.three.mark,
            "$214.00 in total",
        ):
            self.assertContains(answer, words)

    def test_the_second_enters_just_what_was_shown(self):
        answer = self.load(csv_of(f"{self.one.mark},,120.00,"))
        form = answer.context["form"]
        signed = form.initial["signed"]
        self.assertContains(answer, f'name="once" value="{form.once_id}"')
        answer = self.client.post(reverse("import_memo"), {"signed": signed})
        memo = CreditMemo.objects.get()
        self.assertRedirects(answer, reverse("memo", args=[memo.pk]))
        assert memo.lines.get().fate == "as-expected"
        answer = self.client.post(reverse("import_memo"), {"signed": signed})
        self.assertContains(answer, "is already entered", status_code=422)
        assert CreditMemo.objects.count() == 1

    def test_what_comes_back_changed_is_refused(self):
        answer = self.load(csv_of(f"{self.one.mark},,120.00,"))
        signed = answer.context["form"].initial["signed"]
        for bad in (signed[:-2] + "zz", "", "x", signed.replace(":", "")):
            answer = self.client.post(reverse("import_memo"), {"signed": bad})
            self.assertContains(answer, "damaged on the way", status_code=422)
        assert not CreditMemo.objects.exists()

    def test_a_workbook_is_read_with_its_numbers(self):
        answer = self.load(
            xlsx_of((self.one.mark, 120, None), (self.two.mark, 90.1, "late"))
        )
        self.assertContains(answer, "$29.90 short of the $120.00 expected")

    def test_bad_rows_are_listed_and_nothing_is_taken(self):
        rows = [f"K-{number:03d},,10.00," for number in range(499)]
        rows.insert(250, "K-900,,ten,")
        answer = self.load(csv_of(*rows))
        assert answer.status_code == 422
        self.assertContains(answer, "1 row cannot be read", status_code=422)
        self.assertContains(
            answer, "Amount ten: That is not an amount", status_code=422
        )

    def test_files_that_are_no_memo_are_told(self):
        broken = {
            "empty": (b"", "The file is empty"),
            "no text": (b"\x00\x01\x02\x00" * 9, "bytes that are not text"),
            "latin": ("mark,amount\nRÖ,5".encode("cp1252"), "neither UTF-8"),
            "old": (b"\xd0\xcf\x11\xe0" + b"0" * 90, "old XLS kind"),
            "zip": (b"PK\x03\x04" + b"0" * 90, "workbook cannot be read"),
            "header": (b"a,b\n1,2\n", "The columns do not match a memo"),
            "large": (b"mark,amount\n" + b"A,1\n" * 600_000, "larger than 2 MB"),
            "many": (b"mark,amount\n" + b"A,1\n" * 6_000, "more than 5,000 lines"),
            "quote": (b'mark,amount\n"A,1\n', "quotation mark"),
        }
        for name, (data, words) in broken.items():
            with self.subTest(file=name):
                answer = self.load(SimpleUploadedFile("memo.csv", data, "text/csv"))
                self.assertContains(answer, words, status_code=422)

    @pytest.mark.slow
    def test_a_workbook_that_blows_up_is_refused(self):
        answer = self.load(SimpleUploadedFile("m.xlsx", bomb(), "application/zip"))
        self.assertContains(answer, "far larger inside", status_code=422)

    def test_entities_in_a_workbook_are_refused(self):
        answer = self.load(SimpleUploadedFile("m.xlsx", laughs(), "application/zip"))
        self.assertContains(answer, "cannot be read", status_code=422)

    def test_a_formula_is_never_run(self):
        answer = self.load(xlsx_of((self.one.mark, "=100+20", None)))
        self.assertContains(answer, "Amount missing", status_code=422)


def bomb():
    """Return a zip that says it holds 60 MB of sheet."""
    import zipfile

    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("xl/workbook.xml", b"0" * (60 * 1024 * 1024))
    return out.getvalue()


def laughs():
    """Return a workbook whose text grows without end when it is read."""
    import zipfile

    good = BytesIO(xlsx_of(("A-1", 5, None)).read())
    entities = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 9))
    doctype = f'<!DOCTYPE x [<!ENTITY a0 "ha">{entities}]>'
    sheet = "xl/worksheets/sheet1.xml"
    out = BytesIO()
    with zipfile.ZipFile(good) as source, zipfile.ZipFile(out, "w") as made:
        for name in source.namelist():
            text = source.read(name).decode()
            if name == sheet:
                assert ">A-1<" in text
                text = doctype + text.replace(">A-1<", ">&a8;<")
            made.writestr(name, text)
    return out.getvalue()


@time_machine.travel(NOW, tick=False)
class TestDifferences(Case):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        memo = memo_of(
            cls.book,
            (cls.one, 9_000, "bracket missing"),
            (cls.two, 12_000),
            (cls.three, 12_000),
        )
        post_memo(memo=memo, version=memo.version, person=cls.book.who.abel, at=AT)
        cls.short = ShortCredit.objects.get()

    def told(self, **over):
        values = {
            "version": ShortCredit.objects.get(pk=self.short.pk).version,
            "once": str(uuid.uuid4()),
            "decided_on": "2026-05-01",
            "reason": "Our check lists it.",
        }
        return {**values, **over}

    def state(self):
        self.short.refresh_from_db()
        return self.short.state

    def test_it_is_disputed_then_won(self):
        self.send("dispute_short", self.short.pk, **self.told())
        assert self.state() == "disputed"
        self.send("win_short", self.short.pk, **self.told(amount="30.00", reason=""))
        assert self.state() == "won"
        assert balances() == {}

    def test_the_same_form_twice_pays_once(self):
        told = self.told()
        for _ in range(2):
            answer = self.send("accept_short", self.short.pk, **told)
            assert answer.status_code == 302
        assert Entry.objects.filter(kind="short-credit").count() == 1

    def test_words_and_a_day_are_asked_for(self):
        for over in ({"reason": ""}, {"decided_on": ""}, {"decided_on": "2027-01-01"}):
            answer = self.send("accept_short", self.short.pk, **self.told(**over))
            assert answer.status_code == 422, over
        assert self.state() == "open"

    def test_above_the_limit_the_manager_agrees(self):
        self.book.location.write_off_limit_cents = 100
        self.book.location.save()
        page = self.client.get(reverse("short_credit", args=[self.short.pk]))
        self.assertNotContains(page, reverse("accept_short", args=[self.short.pk]))
        self.assertContains(page, "Ask for a write-off")
        answer = self.send("ask_write_off", self.short.pk, **self.told())
        self.assertContains(
            self.client.get(answer.url), "Done.</span> Write-off requested."
        )
        assert self.state() == "open"
        self.client.force_login(self.book.who.mina)
        page = self.client.get(reverse("short_credit", args=[self.short.pk]))
        self.assertContains(page, "Approve the write-off")
        self.send("approve_write_off", self.short.pk, **self.told(reason=""))
        assert self.state() == "written-off"

    def test_within_the_limit_it_is_written_off_and_said_so(self):
        self.book.location.write_off_limit_cents = 100_000
        self.book.location.save()
        answer = self.send("ask_write_off", self.short.pk, **self.told())
        page = self.client.get(answer.url)
        self.assertContains(page, "Done.</span> Credit written off.")
        self.assertNotContains(page, "A second person must approve")
        assert self.state() == "written-off"

    def test_a_write_off_is_not_asked_for_twice(self):
        self.book.location.write_off_limit_cents = 100
        self.book.location.save()
        self.send("ask_write_off", self.short.pk, **self.told())
        self.short.refresh_from_db()
        again = self.told(version=str(self.short.version), reason="Once more.")
        answer = self.send("ask_write_off", self.short.pk, **again)
        self.assertContains(answer, "already requested", status_code=422)
        page = self.client.get(reverse("short_credit", args=[self.short.pk]))
        self.assertNotContains(page, reverse("ask_write_off", args=[self.short.pk]))

    def test_it_is_listed_until_it_is_decided(self):
        url = reverse("short_credits")
        self.assertContains(self.client.get(url), "$30.00")
        self.send("accept_short", self.short.pk, **self.told())
        self.assertNotContains(self.client.get(url), "$30.00")
        self.assertContains(self.client.get(url, {"which": "all"}), "$30.00")

    def test_the_letter_holds_its_proof(self):
        photo = making.make_evidence(
            shipment=self.book.shipment,
            crate=self.one,
            kind="crate-check",
            caption="All brackets <there>",
        )
        self.send("dispute_short", self.short.pk, **self.told())
        answer = self.client.get(reverse("dispute_letter", args=[self.short.pk]))
        assert answer["Content-Type"] == "application/pdf"
        words = words_of(answer.content)
        for said in (
            "Short-paid crate credit:",
            self.one.mark,
            "Your credit for this crate is USD 30.00 short.",
            "Your memo says: bracket missing",
            "In addition: Our check lists it.",
            "Deposit charged USD 120.00",
            "Due when it left USD 120.00",
            "Credited USD 90.00",
            "Still due USD 30.00",
            "THE CREDIT DAY BY DAY",
            "Wed 1 Apr 2026 USD 120.00 ship day",
            "lists 3 crates.",
            "Lou Parr counted 3. The driver signed for the count.",
            "Abel Strand",
        ):
            assert said in words, said
        assert photo.caption not in words  # its bytes are not in the store

    def test_the_letter_shows_the_photos_that_are_kept(self):
        from inventory.actions.evidence.keeping import keep_evidence

        keep_evidence(
            person=self.book.who.rosa,
            at=AT,
            upload=SimpleUploadedFile("load.jpg", jpeg(), "image/jpeg"),
            client_id=uuid.uuid4(),
            kind="load",
            crate_return=self.home,
            caption="Three crates as loaded",
        )
        assert Evidence.objects.count() == 1
        answer = self.client.get(reverse("dispute_letter", args=[self.short.pk]))
        words = words_of(answer.content)
        assert (
            "Three crates as loaded. Received Wed 1 Apr 2026, 10:00 AM (-05:00)."
            in words
        )
        page = self.client.get(reverse("short_credit", args=[self.short.pk]))
        self.assertContains(page, "Three crates as loaded")


@time_machine.travel(NOW, tick=False)
class TestStatements(Case):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.late = ready_crate(cls.book, mark="LATE-1")
        memo = memo_of(
            cls.book, (cls.one, 9_000), (cls.two, 12_000), (cls.three, 12_000)
        )
        post_memo(memo=memo, version=memo.version, person=cls.book.who.abel, at=AT)
        cls.url = reverse("state_balance", args=[cls.book.supplier.pk])

    def state(self, stated, as_of="2026-05-03"):
        return self.client.post(
            self.url, {"as_of": as_of, "stated": stated, "note": "Page 2"}
        )

    def test_figures_that_agree_are_said_to(self):
        self.state("150.00")
        self.assertContains(self.client.get(self.url), "Agrees")
        self.assertContains(self.client.get(reverse("statements")), "All agree")

    def test_a_short_credit_and_a_late_crate_explain_it(self):
        with time_machine.travel(datetime(2026, 8, 1, 15, 0, tzinfo=UTC)):
            self.client.force_login(self.book.who.abel)
            self.state("0.00", as_of="2026-07-31")
            page = self.client.get(self.url)
        self.assertContains(page, "Disagrees, fully explained")
        self.assertContains(page, "Late crate: Crate 4 (LATE-1)")
        self.assertContains(page, "Short-paid credit: Crate 1")
        short = ShortCredit.objects.get()
        self.assertContains(page, reverse("short_credit", args=[short.pk]))
        self.assertContains(page, reverse("dispute_letter", args=[short.pk]))
        deposit = self.late.deposits.get()
        self.assertContains(page, reverse("deposit", args=[deposit.pk]))

    def test_what_nothing_explains_says_so(self):
        self.state("1.23")
        self.assertContains(self.client.get(self.url), "Disagrees, not explained")
        page = self.client.get(reverse("statements"))
        self.assertContains(page, "1 of 1 disagrees")

    def test_the_same_statement_is_kept_once(self):
        self.state("150.00")
        self.state("150.00")
        assert BalanceAssertion.objects.count() == 1
        self.state("149.00")
        assert BalanceAssertion.objects.count() == 2

    def test_bad_input_is_told(self):
        for stated, as_of in (
            ("", "2026-05-03"),
            ("x", "2026-05-03"),
            ("-1", "2026-05-03"),
            ("1.005", "2026-05-03"),
            ("5", "2026-05-05"),
            ("5", "yesterday"),
        ):
            answer = self.state(stated, as_of)
            assert answer.status_code == 422, (stated, as_of)
        assert not BalanceAssertion.objects.exists()

    def test_the_manager_reads_but_does_not_enter(self):
        self.client.force_login(self.book.who.mina)
        assert self.client.get(self.url).status_code == 200
        assert self.state("150.00").status_code == 403
        assert not BalanceAssertion.objects.exists()

    def test_an_unknown_supplier_is_not_found(self):
        url = reverse("state_balance", args=[99_999_999])
        assert self.client.get(url).status_code == 404
