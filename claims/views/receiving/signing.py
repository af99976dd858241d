"""The page on which each bill's exceptions are written and its receipt is signed."""

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.receiving import signing
from claims.forms.receiving.signing import SIGNED_BY_DRIVER, OpenBill, SignForm
from claims.queries.receiving.due import bills_to_mail
from claims.queries.receiving.filings import filings_at_signature
from claims.queries.receiving.receipts import BillAtTailgate, bills_at_tailgate
from claims.rules.receiving.advice import SUBJECT_TO_INSPECTION
from claims.views.receiving.tailgate import trail
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.actions.evidence.uploads import Uploads
from inventory.forms.core.photos import BoundPhotos, photos_of
from inventory.models import Delivery, Evidence
from inventory.rules.core.text import mid_sentence
from inventory.rules.core.vocabulary import HOW_SIGNED
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at, truck_name
from inventory.views.core.phone_clock import tapped_at
from inventory.views.core.strips import strip_for

TAIL = 6
"""How many characters of a PRO tell the bills of one truck apart on a tab."""


def short_pro(number: str) -> str:
    """Return "…221701": the end of a long PRO, as a tab has room for it."""
    return number if len(number) <= TAIL + 1 else f"…{number[-TAIL:]}"


class SignReceipt(ActView[Delivery, SignForm]):
    """Write the exceptions of one bill and record how its receipt ended."""

    permission = "sign-receipt"
    form_class = SignForm
    template_name = "claims/receiving/sign_receipt.html"
    title = "Exceptions and signing"
    back_words = "Back to the truck"
    photo_kind = "receipt"
    may_sign = True

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the form, or the truck where its receipts are closed."""
        if self.row.is_signed:
            messages.info(request, "The receipts of this truck are closed already.")
            return redirect("delivery", self.row.pk)
        return super().get(request, *args, **kwargs)

    def get_queryset(self) -> QuerySet[Delivery]:
        return Delivery.objects.select_related("location", "carrier")

    def get_kicker(self) -> str:
        return truck_name(self.row)

    def get_back(self) -> str:
        return reverse("tailgate", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return trail(self.row)

    @cached_property
    def bills(self) -> list[BillAtTailgate]:
        """Return the freight bills of the truck."""
        return bills_at_tailgate(self.row)

    @cached_property
    def open_bills(self) -> list[BillAtTailgate]:
        """Return those whose receipt is open."""
        return [bill for bill in self.bills if not bill.handover.is_closed]

    @cached_property
    def bill(self) -> BillAtTailgate | None:
        """Return the bill of the tab: the one asked for, else the first open one."""
        asked = self.request.GET.get("bill", "")
        for bill in self.bills:
            if asked and str(bill.handover.pk) == asked:
                return bill
        if asked:
            raise Http404
        return next(iter([*self.open_bills, *self.bills]), None)

    @property
    def others(self) -> list[BillAtTailgate]:
        """Return the open bills besides the one of the tab."""
        return [bill for bill in self.open_bills if bill is not self.bill]

    def get_refusal(self) -> str:
        if self.bill is None:
            return (
                "This truck has no freight bill. Add the bill by its PRO number first."
            )
        return self.bill.facts.problem if self.bill in self.open_bills else ""

    def get_initial(self) -> dict[str, Any]:
        read = ",".join(f"{one.handover.pk}:{one.digest}" for one in self.open_bills)
        return super().get_initial() | {
            "driver_signed_name": self.row.driver_name,
            "words_stand_on": "both",
            "read": read,
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        bill = self.bill
        return super().get_form_kwargs() | {
            "bill": _open(bill) if bill else OpenBill(0, ""),
            "others": [_open(one) for one in self.others],
        }

    def get_form(self, form_class: Any = None) -> SignForm:  # noqa: ANN401 - Django's
        """Return the form; each bill's photo field offers that bill's own photos."""
        form = super().get_form(form_class)
        mine = Evidence.objects.filter(recorded_by=self.person, kind=self.photo_kind)
        for bound in photos_of(form):
            about = self.about(bound.html_name)
            rows = mine.filter(**about.as_fields())
            bound.field.rows = rows.select_related(
                "original", "location"
            ).prefetch_related("readings")
            bound.strip = strip_for(self.request, about, self.photo_kind)
        return form

    def get_photo_about(self) -> About:
        return self.about("photo")

    def about(self, name: str) -> About:
        """Return the bill whose receipt this field's photos are of."""
        _, _, key = name.partition("_")
        named = [one for one in self.others if str(one.handover.pk) == key]
        bill = named[0] if named else self.bill
        shipment = bill.handover.shipment if bill else None
        return About(delivery=self.row, shipment=shipment)

    def keep(
        self,
        bound: BoundPhotos,
        about: About,
        *,
        caption: str = "",
        uploads: "Sequence[UploadedFile[bytes]] | None" = None,
    ) -> Uploads:
        """Keep the photos of one field with the bill that it is for."""
        about = self.about(bound.html_name)
        return super().keep(bound, about, caption=caption, uploads=uploads)

    def form_invalid(self, form: SignForm) -> HttpResponse:
        """Show the form again, with the texts as they are now."""
        form.take_read(self.get_initial()["read"])
        return super().form_invalid(form)

    def get_context_data(self, **more: object) -> dict[str, Any]:
        today = today_at(self.row.location)
        return super().get_context_data(
            tabs=[_tab(one, chosen=one is self.bill) for one in self.bills],
            bill=self.bill,
            is_open=self.bill in self.open_bills,
            may_sign=self.may_sign,
            others=self.others,
            lengths=_lengths(self.bill) if self.bill else [],
            no_use=SUBJECT_TO_INSPECTION,
            filing=filings_at_signature(self.bill, delivery_id=self.row.pk, today=today)
            if self.bill in self.open_bills
            else None,
            **more,
        )

    def act(self, form: SignForm) -> Answer:
        data = form.cleaned_data
        keys = form.signed_bills()
        at = now()
        truck = signing.sign_bills(
            person=self.person,
            at=at,
            tapped=tapped_at(self.request, at),
            delivery=self.row,
            version=data["version"],
            answers={key: _signature(form, key) for key in keys},
        )
        return self.done(_closed(data["how_signed"], len(keys)), page=_next(truck))


class ReceiptWords(SignReceipt):
    """The exceptions of each bill in every length, for everyone at the location."""

    permission = "see"
    http_method_names = ["get"]
    title = "Exceptions on the receipt"
    may_sign = False

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the texts, as they were frozen where the bill is closed."""
        return self.render_to_response(self.get_context_data())

    def get_back(self) -> str:
        page = "delivery" if self.row.is_signed else "tailgate"
        return reverse(page, args=[self.row.pk])


def _next(truck: Delivery) -> str:
    """Return the page after the signature: the next open bill, the mail, or the truck."""
    page = "sign_receipt"
    if truck.is_signed:
        needs_mail = bills_to_mail(truck.handovers.all()).exists()
        page = "terminal_mail" if needs_mail else "delivery"
    return reverse(page, args=[truck.pk])


def _signature(form: SignForm, key: int) -> signing.Signature:
    data = form.cleaned_data
    has_photo = bool(data[form.photo_name(key)])
    return signing.Signature(
        how_signed=data["how_signed"],
        driver_signed_name=data["driver_signed_name"],
        words_stand_on=data["words_stand_on"],
        no_photo_reason="" if has_photo else data["no_photo_reason"],
        witness_name=data["witness_name"],
        read=data["read"].get(key),
    )


def _closed(how_signed: str, count: int) -> str:
    receipts = pieces_in_words(count, "receipt")
    if how_signed == "signed":
        return f"Signed {receipts}."
    said = mid_sentence(HOW_SIGNED[how_signed])
    if how_signed in SIGNED_BY_DRIVER:
        return f"Recorded {receipts}: {said}."
    return f"Recorded {receipts} as not signed: {said}."


def _open(bill: BillAtTailgate) -> OpenBill:
    row = bill.handover
    tail = short_pro(row.shipment.pro_number)
    return OpenBill(row.pk, tail, bill.facts.ending.left_at)


def _tab(bill: BillAtTailgate, *, chosen: bool) -> dict[str, object]:
    """Return what one bill's tab says."""
    handover = bill.handover
    return {
        "pk": handover.pk,
        "tail": short_pro(handover.shipment.pro_number),
        "pro": handover.shipment.pro_number,
        "words": handover.ending_words if handover.is_closed else bill.noted,
        "is_closed": handover.is_closed,
        "is_chosen": chosen,
    }


def _lengths(bill: BillAtTailgate) -> list[dict[str, object]]:
    """Return the texts of a bill by length, the full one first; as frozen once closed."""
    row = bill.handover
    texts: list[tuple[str, str, Sequence[str]]]
    if row.is_closed:
        texts = [("full", row.words_full, ())]
        for key in sorted(row.words_cut, key=int, reverse=True):
            cut = row.words_cut[key]
            texts.append((key, cut["text"], cut["left_out"]))
    else:
        words = bill.words
        texts = [("full", words.full, words.left_out)]
        texts += [(str(n), cut.text, cut.left_out) for n, cut in words.cuts.items()]
    return [
        {"key": key, "text": text, "left_out": lost, "size": len(text)}
        for key, text, lost in texts
    ]
