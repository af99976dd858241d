"""Every address but those of the upper floor, as a URL configuration of its own."""

from claims import urls as upper_floor
from config import urls

urlpatterns = [
    one
    for one in urls.urlpatterns
    if getattr(one, "urlconf_name", None) is not upper_floor
]
