"""A read-only view for the superuser: nothing can be written here."""

from django.apps import apps
from django.contrib import admin
from django.db.models import ForeignKey, Model, QuerySet
from django.http import HttpRequest

from inventory.models.sealed import Sealed


class Window(admin.ModelAdmin):  # type: ignore[type-arg]
    """Shows rows; refuses to add, change or delete them."""

    list_per_page = 50
    show_full_result_count = False

    def get_queryset(self, request: HttpRequest) -> QuerySet[Model]:
        """Return every row, those too that no list of the product shows."""
        rows: QuerySet[Model] = self.model._base_manager.all()  # noqa: SLF001
        return rows

    def has_module_permission(self, request: HttpRequest) -> bool:
        """Let only the superuser in."""
        return bool(request.user.is_active and request.user.is_superuser)

    def has_view_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        """Let only the superuser read."""
        return self.has_module_permission(request)

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Refuse: actions write."""
        return False

    def has_change_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        """Refuse: actions write."""
        return False

    def has_delete_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        """Refuse: nothing is deleted."""
        return False


def show(app_label: str) -> None:
    """Register every table of an app as a window."""
    for model in apps.get_app_config(app_label).get_models():
        related = [
            field.name for field in model._meta.fields if isinstance(field, ForeignKey)
        ]
        shown = {
            "list_select_related": related,
            "exclude": model.HIDDEN if issubclass(model, Sealed) else (),
        }
        window = type(f"{model.__name__}Window", (Window,), shown)
        admin.site.register(model, window)


show("inventory")
