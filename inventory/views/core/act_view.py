"""One act on one page: a row, a form, an action, and the way back.

DEVELOPERS.md shows how to write one, under "One act, file by file".
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Generic, TypeVar

from django.core.files.uploadedfile import UploadedFile
from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.generic import FormView

from inventory.access import location_id_of
from inventory.actions.core.once import (
    Answer,
    SavedBeforeError,
    Sending,
    answer_before,
    save_once,
)
from inventory.actions.core.retired import RETIRED_UNUSED, retired_words
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.evidence.keeping import BadUploadError
from inventory.actions.evidence.photo_facts import About
from inventory.actions.evidence.uploads import Uploads, keep_uploads
from inventory.evidence.store.drawn_files import NotDrawnYetError
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.photos import BoundPhotos, photos_of
from inventory.models import Crate, Delivery, Evidence, Handover, Shipment, Unit
from inventory.views.core.bar import Bar
from inventory.views.core.clock import now
from inventory.views.core.readings import tell_remarks, watch_readings
from inventory.views.core.refusals import put_refusal, status_of
from inventory.views.core.row_view import Row, RowView
from inventory.views.core.strips import Strip, strip_for

Form = TypeVar("Form", bound=HouseForm)

Crumbs = Sequence[tuple[str, str]]

TAKEN_BACK = tuple(
    row.DoesNotExist for row in (Delivery, Handover, Shipment, Crate, Unit)
)
"""Raised by an act whose row was taken back after its page was opened."""

RETIRED = tuple(row.DoesNotExist for row in RETIRED_UNUSED)
"""Raised by an act that looks up what was chosen, and whose import was undone."""

GONE = (
    "This was taken back after you opened the page. Nothing was saved. Open the dock to "
    "see what is there now."
)

PHOTOS_AGAIN = "Choose the photos again: a browser does not keep them."
FILE_AGAIN = "Choose the file again: a browser does not keep it."


@dataclass(frozen=True)
class Page:
    """What is around the form. ``kicker`` is the small line above the title."""

    title: str
    back: str
    back_words: str
    kicker: str
    lead: str


class ActView(RowView[Row], FormView, Generic[Row, Form]):  # type: ignore[type-arg]
    """A page that shows a row, takes one form and calls one action.

    What the action refuses is put on the form, with all that was typed, as 422. A
    form that ``creates`` is saved once. Photos are kept before anything is judged,
    so that a mistake elsewhere loses none.
    """

    http_method_names = ["get", "post"]
    template_name = "inventory/core/act.html"
    form_class: type[Form]

    title = ""
    lead = ""
    kicker = ""
    back_words = "Back without saving"
    photo_kind = ""

    # -- what a page says of itself ---------------------------------------------

    def act(self, form: Form) -> Answer:
        """Call the action with what the valid form says; return ``self.done(...)``.

        May raise RefusedError, StaleRowError and BadUploadError.
        """
        raise NotImplementedError

    def prepare(self, form: Form) -> None:
        """Do the slow part of the act, such as a PDF, before its transaction opens.

        May raise what ``act`` may raise, and NotDrawnYetError where a document takes
        long: then the form is sent again when it is ready. It may run twice, so it
        writes no row.
        """

    def get_how_far(self, form: Form | None) -> str:
        """Return the address that says how far the document of this form is.

        Every page whose document may take long has one.
        """
        raise NotImplementedError

    def follow_up(self, form: Form, answer: Answer) -> None:
        """Do what may only be done once the act is committed, such as keep a photo.

        It runs again where the form is sent again, so it must be repeatable.
        """

    def get_title(self) -> str:
        """Return the heading."""
        return self.title

    def get_kicker(self) -> str:
        """Return the small line above the heading."""
        return self.kicker

    def get_lead(self) -> str:
        """Return the sentence between heading and form."""
        return self.lead

    def get_back_words(self) -> str:
        """Return the words of the link that leaves without acting."""
        return self.back_words

    def get_crumbs(self) -> Crumbs:
        """Return the pages above this one as (words, address), outermost first."""
        return ()

    def get_more(self) -> tuple[tuple[str, str], ...]:
        """Return the page's seldom acts as (words, address)."""
        return ()

    def get_refusal(self) -> str:
        """Return why the act is not possible now, shown instead of a fresh form."""
        return ""

    def get_photo_about(self) -> About | None:
        """Return what photos sent with the form belong to; None where not yet known."""
        return None

    def get_photo_caption(self, form: Form) -> str:
        """Return the caption of photos sent with the form.

        ``form.cleaned_data`` holds only what was right in it.
        """
        return ""

    def get_photo_rows(self) -> QuerySet[Evidence]:
        """Return the photos that the form may tick: its person's own, of this kind."""
        about = self.get_photo_about()
        if about is None:
            return Evidence.objects.none()
        mine = Evidence.objects.filter(recorded_by=self.person, kind=self.photo_kind)
        mine = mine.filter(**about.as_fields()).select_related("original", "location")
        return mine.prefetch_related("readings")

    def get_strip(self) -> Strip | None:
        """Return where the form's photos are sent one by one; None for nowhere yet."""
        about = self.get_photo_about()
        return strip_for(self.request, about, self.photo_kind) if about else None

    # -- what every page does alike ---------------------------------------------

    def get_initial(self) -> dict[str, Any]:
        """Return what a fresh form shows: at least the version of its row."""
        return super().get_initial() | {"version": getattr(self.row, "version", None)}

    def get_form(self, form_class: Any = None) -> Form:  # noqa: ANN401 - Django's
        """Return the form; its photos may be those that its person kept here."""
        form: Form = super().get_form(form_class)
        if not form.creates and "once" in self.request.POST:
            form.save_once()  # it waited on a phone, which may send it twice
        photos = photos_of(form)
        strip = self.get_strip() if photos else None
        for bound in photos:
            bound.field.rows = self.get_photo_rows()
            bound.strip = strip
        return form

    def get_context_data(self, **more: object) -> dict[str, Any]:
        """Return the form and what is around it."""
        refusal = self.get_refusal()
        return super().get_context_data(
            **self._around(), refusal=refusal, row=self.row, **more
        )

    def _around(self) -> dict[str, Any]:
        title = self.get_title()
        page = Page(
            title=title,
            back=self.get_back(),
            back_words=self.get_back_words(),
            kicker=self.get_kicker(),
            lead=self.get_lead(),
        )
        bar = Bar(title, page.kicker, page.back, page.back_words, self.get_more())
        crumbs = [*self.get_crumbs(), (title, "")]
        return {"page": page, "bar": bar, "crumbs": crumbs}

    def post(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Act on a valid form, or show it again with what is wrong."""
        form = self.get_form()
        sending = self._sending(form) if form.creates else None
        self._keep_photos(form)
        try:
            return self._submit(form, sending)
        except SavedBeforeError as error:
            form.saved_before = error.answer
            form.add_error(None, str(error))
        except StaleRowError as error:
            self._take_new_version(form)
            form.add_error(None, str(error))
        except RefusedError as error:
            form.add_error(None, str(error))
        except BadUploadError as error:
            put_refusal(form, None, error)
        except NotDrawnYetError as error:
            return self.wait(error, form)
        except TAKEN_BACK:
            form.add_error(None, GONE)
        except RETIRED:
            form.add_error(None, retired_words())
        return self.form_invalid(form)

    def form_invalid(self, form: Form) -> HttpResponse:
        """Show the form again: 422, or 507 where the disk took no photo."""
        if form.files:
            form.add_error(None, PHOTOS_AGAIN if photos_of(form) else FILE_AGAIN)
        context = self.get_context_data(form=form)
        return self.render_to_response(context, status=status_of(form))

    def wait(self, error: NotDrawnYetError, form: Form | None = None) -> HttpResponse:
        """Say how far a document is; then the form is sent again, or the page opened.

        Nothing is saved: 202.
        """
        sent = form.data.lists() if form else ()  # type: ignore[attr-defined]
        context = {
            "form": form,
            "fields": [
                (name, value)
                for name, values in sent
                if name != "csrfmiddlewaretoken"
                for value in values
            ],
            "how_far": str(error),
            "follow": self.get_how_far(form),
        }
        answer = render(
            self.request,
            "inventory/core/being_made.html",
            self._around() | context,
            status=202,
        )
        answer["Cache-Control"] = "private, no-store"
        return answer

    def _submit(self, form: Form, sending: Sending | None) -> HttpResponse:
        answer = answer_before(sending)
        if answer is None and form.is_valid():
            answer = self._act(form, sending)
            for bound in photos_of(form):
                watch_readings(self.request, form.cleaned_data.get(bound.name) or ())
        # The other of two taps may have been saved while this one was checked.
        answer = answer or answer_before(sending)
        if answer is None:
            return self.form_invalid(form)
        response = self.answer(answer)
        self.follow_up(form, answer)
        return response

    def _act(self, form: Form, sending: Sending | None) -> Answer:
        try:
            self.prepare(form)
        except (RefusedError, StaleRowError, NotDrawnYetError):
            if answer := answer_before(sending):
                return answer
            raise
        if sending is None:
            return self.act(form)
        return save_once(sending, at=now(), make=partial(self.act, form))

    def _sending(self, form: Form) -> Sending:
        """Return what makes this sending the same as another: address and fields."""
        row = self.row
        match = self.request.resolver_match
        return Sending(
            client_id=form.once_id,
            person=self.person,
            act=match.view_name if match else type(self).__name__,
            body={"page": self.request.get_full_path(), "form": form.body()},
            location_id=location_id_of(row) if isinstance(row, Model) else None,
        )

    def _take_new_version(self, form: Form) -> None:
        if isinstance(form, StaleForm) and isinstance(self.row, Model):
            self.row.refresh_from_db(fields=["version"])
            form.take_version(getattr(self.row, "version", 0))

    def _keep_photos(self, form: Form) -> None:
        """Keep the files of each field at once; the form then ticks what was kept."""
        about = self.get_photo_about()
        if about is None or not form.files:
            return
        form.full_clean()
        caption = self.get_photo_caption(form)
        done = [
            (bound, self.keep(bound, about, caption=caption))
            for bound in photos_of(form)
        ]
        for bound, uploads in done:
            bound.take(uploads)
        for bound, uploads in done:
            bound.name_refused(uploads)

    def keep(
        self,
        bound: BoundPhotos,
        about: About,
        *,
        caption: str = "",
        uploads: "Sequence[UploadedFile[bytes]] | None" = None,
    ) -> Uploads:
        """Keep the files of one field, and say what was noticed on them.

        ``uploads`` are other files than those of this sending.
        """
        done = keep_uploads(
            person=self.person,
            at=now(),
            uploads=bound.uploads if uploads is None else uploads,
            batch=bound.batch,
            about=about,
            kind=self.photo_kind,
            caption=caption,
        )
        tell_remarks(self.request, done)
        return done
