"""Marking a photo: on the picture where the browser can, by numbers everywhere."""

from typing import Any

from django.db.models import QuerySet
from django.urls import reverse

from inventory.actions.core.once import Answer
from inventory.actions.evidence.marking import NOT_A_PHOTO, mark_photo
from inventory.evidence.pictures.drawn import picture_to_show
from inventory.forms.core.base import HouseForm
from inventory.forms.evidence.markup import MarkPhotoForm, lines_for
from inventory.models import Evidence
from inventory.rules.core.pictures import Picture
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now


class MarkPhoto(ActView[Evidence, MarkPhotoForm]):
    """Draw circles, arrows, measure lines and words on copies of a photo."""

    permission = "add-evidence"
    form_class = MarkPhotoForm
    template_name = "inventory/evidence/mark_photo.html"
    title = "Mark the photo"
    back_words = "Back without saving"

    def get_queryset(self) -> QuerySet[Evidence]:
        rows = Evidence.objects.select_related("original", "location")
        return rows.prefetch_related("markups")

    def get_lead(self) -> str:
        what = self.row.caption or self.row.get_kind_display()
        return f"{what}. Marks are drawn on copies; the original stays as it came."

    def get_back(self) -> str:
        return reverse("evidence", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [(self.row.get_kind_display(), self.get_back())]

    def get_refusal(self) -> str:
        return "" if self.picture else NOT_A_PHOTO

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {
            "version": self._version(),
            "mark": lines_for(self.row.marks),
        }

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(picture=self.picture, **more)

    def act(self, form: MarkPhotoForm) -> Answer:
        marks = form.marks
        mark_photo(
            person=self.person,
            at=now(),
            evidence=self.row,
            marks=marks,
            version=form.cleaned_data["version"],
        )
        said = "Marks saved." if marks else "All marks removed."
        return self.done(f"{said} The original is unchanged.")

    @property
    def picture(self) -> Picture | None:
        """Return the copy that is marked; None where the file has no preview."""
        return picture_to_show(self.row) if self.row.is_picture else None

    def _take_new_version(self, form: HouseForm) -> None:
        """Let a second save count against the marks as they are now."""
        if isinstance(form, MarkPhotoForm):
            self.row = self.get_row()
            form.take_version(self._version())

    def _version(self) -> int:
        last = self.row.last_markup
        return last.pk if last else 0
