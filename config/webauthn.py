"""What the house asks of a device that holds a passkey, and what it makes of the answer.

python-fido2 checks what a key signed (WebAuthn 2): it is kept by a maker of keys and
needs only ``cryptography``, which is here anyway. Import this where a key is asked for:
to load both libraries takes as long as a small command.
"""

from typing import Any

from django.utils.crypto import salted_hmac
from fido2.server import Fido2Server
from fido2.utils import websafe_encode
from fido2.webauthn import (
    AttestedCredentialData,
    AuthenticationResponse,
    PublicKeyCredentialRpEntity,
    PublicKeyCredentialUserEntity,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from inventory.models import Passkey, User

HOUSE = "Tarefold"


def ask_for_new(host: str, person: User) -> tuple[dict[str, Any], Any]:
    """Return what to ask a device that is to make a key, and what to remember."""
    options, state = _server(host).register_begin(
        _user_of(person),
        [_key_of(row) for row in Passkey.objects.filter(person=person)],
        resident_key_requirement=ResidentKeyRequirement.REQUIRED,
        user_verification=UserVerificationRequirement.REQUIRED,
    )
    return dict(options), state


def ask_for_one(host: str) -> tuple[dict[str, Any], Any]:
    """Return what to ask a device that is to sign somebody in, and what to remember."""
    question, state = _server(host).authenticate_begin(
        user_verification=UserVerificationRequirement.REQUIRED
    )
    return dict(question), state


def made_key(host: str, state: Any, answer: Any) -> dict[str, Any]:  # noqa: ANN401
    """Return the public half of a key just made, its id, and its count of uses.

    Raise what the library raises for an answer that is wrong.
    """
    made = _server(host).register_complete(state, answer)
    credential: Any = made.credential_data
    return {
        "key_id": websafe_encode(credential.credential_id),
        "credential": bytes(credential),
        "count": made.counter,
    }


def signed_by(host: str, state: Any, answer: Any) -> tuple[Passkey, int]:  # noqa: ANN401
    """Return the key that signed, and its count of uses.

    Raise what the library raises for an answer that is wrong, and Passkey.DoesNotExist.
    """
    said = AuthenticationResponse.from_dict(answer)
    rows = Passkey.objects.select_related("person")
    row = rows.get(credential_id=websafe_encode(said.raw_id))
    _server(host).authenticate_complete(state, [_key_of(row)], answer)
    return row, said.response.authenticator_data.counter


def _server(host: str) -> Fido2Server:
    return Fido2Server(PublicKeyCredentialRpEntity(name=HOUSE, id=host))


def _user_of(person: User) -> PublicKeyCredentialUserEntity:
    # The words are the first keys' own: with others a device would show a second one.
    handle = salted_hmac("config.passkeys", str(person.pk), algorithm="sha256")
    return PublicKeyCredentialUserEntity(
        id=handle.digest(), name=person.username, display_name=str(person)
    )


def _key_of(row: Passkey) -> AttestedCredentialData:
    return AttestedCredentialData(bytes(row.credential))
