"""What a phone asks before it sends its queue: who is signed in, and for a key."""

from django.http import HttpRequest, JsonResponse
from django.middleware.csrf import get_token
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from inventory.access import locations_of, person_of
from inventory.actions.evidence.page_tokens import key_of, phone_secret, read_token
from inventory.views.evidence.capture import about_asked, in_json, refusal


@require_safe
@never_cache
def phone_me(request: HttpRequest) -> JsonResponse:
    """Say who is signed in, with a fresh form token and the key of their own queue."""
    person = person_of(request)
    return JsonResponse(
        {
            "person": str(person.pk),
            "name": person.full_name,
            "csrf": get_token(request),
            "places": [
                {"id": row.pk, "name": row.name, "zone": row.time_zone}
                for row in locations_of(person, "log-delivery")
            ],
            "secret": phone_secret(person.pk).hex(),
        }
    )


@require_POST
@in_json
def phone_key(request: HttpRequest) -> JsonResponse:
    """Give the key of a colleague's waiting photo to whoever may add it here."""
    person = person_of(request)
    text = request.POST.get("token", "")
    token = read_token(text)
    about_asked(request.GET, person, token)
    if token is None or token.subject != request.GET.dict():
        return refusal(422, "This photo can be sent only by whoever took it.")
    return JsonResponse({"key": key_of(text, token)})
