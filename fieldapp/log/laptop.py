"""Whose entries they are: each laptop signs with a key of its own, kept beside its log and never carried to another.

The signature is Ed25519 (RFC 8032) under the digest of an entry, which holds the digest of that laptop's entry before.
A log that was put back from a copy goes on as a branch: the same key, another ID, a chain that starts anew.
"""

import base64
import hashlib
import json
import secrets
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, PublicFormat

from fieldapp.base.errors import StoreError
from fieldapp.base.json_text import from_json
from fieldapp.kit.atomic import write_atomic

ID_CHARS = 8
"""Of base 32, 40 bits: two of a thousand laptops share one with a chance of five in ten million (computed)."""


@dataclass(frozen=True, slots=True)
class Known:
    """A laptop as others know it."""

    public_key: str
    """Ed25519, base64."""
    branch: str = ""
    """What its log was named when it was put back from a copy; empty before that."""

    @property
    def id(self) -> str:
        """Short name on every entry: figures and capitals, from key and branch, so that nobody else's fits."""
        digest = hashlib.sha256(f"{self.public_key} {self.branch}".encode()).digest()
        return base64.b32encode(digest).decode()[:ID_CHARS]

    def signed(self, digest: str, signature: str) -> bool:
        """True if this laptop signed the digest."""
        try:
            key = Ed25519PublicKey.from_public_bytes(base64.b64decode(self.public_key, validate=True))
            key.verify(base64.b64decode(signature, validate=True), digest.encode())
        except (ValueError, InvalidSignature):
            return False
        return True


@dataclass(frozen=True, slots=True)
class Laptop:
    """This laptop: its key, and the branch that it writes."""

    key: Ed25519PrivateKey = field(repr=False)
    branch: str = ""

    @property
    def known(self) -> Known:
        """What others may know of it."""
        raw = self.key.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw)
        return Known(base64.b64encode(raw).decode(), self.branch)

    def sign(self, digest: str) -> str:
        """Signature under a digest, base64."""
        return base64.b64encode(self.key.sign(digest.encode())).decode()


def laptop_file(log: Path) -> Path:
    """Where the key of a log's laptop lies."""
    return log.with_name(f"{log.stem}-laptop.json")


def this_laptop(log: Path) -> Laptop:
    """The laptop that writes this log; its key is made with the first call.

    Raises
    ------
    StoreError
        If the key cannot be read.
    KitError
        If it cannot be written.
    """
    path = laptop_file(log)
    if not path.exists():
        made = Laptop(Ed25519PrivateKey.generate())
        _keep(path, made)
        return made
    try:
        held: dict[str, Any] = from_json(path.read_text(encoding="utf-8"))
        raw = base64.b64decode(held["private_key"], validate=True)
        return Laptop(Ed25519PrivateKey.from_private_bytes(raw), str(held["branch"]))
    except (OSError, ValueError, TypeError, KeyError) as error:
        raise StoreError(f"{path} does not hold the key that this laptop signs its entries with. Bring the file back "
                         "from where the folder was copied to; or move it away, and this laptop goes on under a new "
                         "name, the entries under its old one stay good") from error


def begin_branch(log: Path, name: str) -> Laptop:
    """From now on this laptop writes a branch of this name: to be called where a log was put back from a copy.

    The name gets an ending by chance: the same copy may be put back twice, and a serial must not mean two entries.
    """
    branched = Laptop(this_laptop(log).key, f"{name} ({secrets.token_hex(4)})")
    _keep(laptop_file(log), branched)
    return branched


def _keep(path: Path, laptop: Laptop) -> None:
    raw = laptop.key.private_bytes(Encoding.Raw, PrivateFormat.Raw, NoEncryption())
    said = {"private_key": base64.b64encode(raw).decode(), "branch": laptop.branch, "id": laptop.known.id}
    write_atomic(path, (json.dumps(said, indent=1) + "\n").encode(), secret=True)
