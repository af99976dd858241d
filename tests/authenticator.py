"""A key of our own making: what a device signs, written after WebAuthn 2, 6.1 and 6.5."""

import hashlib
import json

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from fido2 import cbor
from fido2.utils import websafe_decode, websafe_encode

PRESENT, VERIFIED, ATTESTED = 0x01, 0x04, 0x40


class Authenticator:
    """One device with one ES256 key."""

    def __init__(self, origin="http://localhost", key_id=b"a key of these tests"):
        self.origin = origin
        self.key_id = key_id
        self.key = ec.generate_private_key(ec.SECP256R1())
        self.count = 0
        self.flags = PRESENT | VERIFIED

    def make(self, options):
        """Return what navigator.credentials.create gives, as JSON."""
        point = self.key.public_key().public_numbers()
        cose = {1: 2, 3: -7, -1: 1}
        cose |= {-2: point.x.to_bytes(32, "big"), -3: point.y.to_bytes(32, "big")}
        size = len(self.key_id).to_bytes(2, "big")
        attested = bytes(16) + size + self.key_id + cbor.encode(cose)
        data = self._data(options["publicKey"]["rp"]["id"], ATTESTED) + attested
        made = cbor.encode({"fmt": "none", "attStmt": {}, "authData": data})
        client = self._client("webauthn.create", options)
        return self._said(client, attestationObject=websafe_encode(made))

    def sign(self, options):
        """Return what navigator.credentials.get gives, as JSON."""
        self.count += 1
        data = self._data(options["publicKey"]["rpId"], 0)
        client = self._client("webauthn.get", options)
        signed = self.key.sign(
            data + hashlib.sha256(client).digest(), ec.ECDSA(hashes.SHA256())
        )
        return self._said(
            client,
            authenticatorData=websafe_encode(data),
            signature=websafe_encode(signed),
        )

    def _data(self, host, flags):
        count = self.count.to_bytes(4, "big")
        house = hashlib.sha256(host.encode()).digest()
        return house + bytes([self.flags | flags]) + count

    def _client(self, kind, options):
        challenge = options["publicKey"]["challenge"]
        assert len(websafe_decode(challenge)) == 32
        said = {"type": kind, "challenge": challenge, "origin": self.origin}
        return json.dumps(said).encode()

    def _said(self, client, **response):
        key = websafe_encode(self.key_id)
        response["clientDataJSON"] = websafe_encode(client)
        return json.dumps(
            {"id": key, "rawId": key, "type": "public-key", "response": response}
        )
