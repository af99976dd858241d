"""Reading the codes on a photo, for any field that asks for a number. Saves nothing."""

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_POST

from inventory.access import person_of
from inventory.evidence.pictures.label_reader import BUSY, LabelReading, read_label
from inventory.evidence.store.kinds import HEAD, NotAllowedError, media_type_of
from inventory.forms.crates.finding import LabelPhotoForm
from inventory.rules.codes.identifiers import as_typed

_NO_CODE = (
    "No code could be read on this photo. It was not saved. Move closer, hold the phone "
    "flat and still, or type the number below the code."
)
_NO_PICTURE = "This photo could not be opened. It was not saved. Take it again."
_BUSY = (
    "Other photos are being read right now. This one was not saved. Try again in a "
    "moment, or type the number below the code."
)
_TROUBLES = {"": _NO_CODE, BUSY: _BUSY}
_TOO_LARGE = "The photo is larger than 25 MB. It was not saved. Take a smaller one."
_NO_PHOTO = "This is not a photo. It was not saved. Take a JPEG, PNG, WebP or HEIC."


@require_POST
def read_codes(request: HttpRequest) -> JsonResponse:
    """Answer with the codes on a photo, each as it would be typed, or say why not.

    Everyone who is signed in may ask: nothing is saved, and no row is looked up.
    """
    person_of(request)
    form = LabelPhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        return JsonResponse({"problem": _NO_PHOTO}, status=422)
    reading = read_photo(form.cleaned_data["photo"])
    if not reading.texts:
        status = 503 if reading.trouble == _BUSY else 422
        return JsonResponse({"problem": reading.trouble}, status=status)
    codes = dict.fromkeys(as_typed(text) for text in reading.texts)
    return JsonResponse({"codes": [code for code in codes if code]})


def read_photo(upload: "UploadedFile[bytes]") -> LabelReading:
    """Return the texts of the codes on a photo; without any, ``trouble`` is a sentence."""
    problem = _problem_of(upload)
    if problem:
        return LabelReading(trouble=problem)
    reading = read_label(upload.read())
    if reading.texts:
        return reading
    return LabelReading(trouble=_TROUBLES.get(reading.trouble, _NO_PICTURE))


def _problem_of(upload: "UploadedFile[bytes]") -> str:
    if (upload.size or 0) > settings.EVIDENCE_LIMIT:
        return _TOO_LARGE
    head = upload.read(HEAD)
    upload.seek(0)
    try:
        media_type = media_type_of(head)
    except NotAllowedError:
        return _NO_PHOTO
    return "" if media_type.startswith("image/") else _NO_PHOTO
