"""The file between preview and confirmation: signed, packed, and bound to the person.

It travels in the form itself, so nothing is left lying on the server when a preview is never confirmed. What
is carried is the file, never the changes: these are worked out again when they are confirmed.
"""

from __future__ import annotations

from typing import Final

from django.core import signing

from curriculum.spreadsheet.carry import GOOD_FOR_SECONDS, NothingCarried
from curriculum.travel.values import UnusableFile

# What a form may hold (DATA_UPLOAD_MAX_MEMORY_SIZE), less the rest of it. Packed, a curriculum is a tenth.
MOST_PACKED: Final = 5 * 1024 * 1024


def pack(data: bytes, fingerprint: str, *, person: int) -> str:
    """The file and the fingerprint of its preview as text for a hidden field."""
    content = {"file": data.decode("utf-8-sig"), "fingerprint": fingerprint}
    packed = signing.dumps(content, salt=_salt(person), compress=True)
    if len(packed) > MOST_PACKED:
        raise UnusableFile("The file is too large to be taken in at once. Take it in a dance at a time.")
    return packed


def unpack(packed: str, *, person: int) -> tuple[bytes, str]:
    """What `pack` was given. Raises NothingCarried with a sentence."""
    try:
        content = signing.loads(packed, salt=_salt(person), max_age=GOOD_FOR_SECONDS)
    except signing.BadSignature as error:
        raise NothingCarried("This preview is no longer good. Choose the file again.") from error
    return content["file"].encode(), content["fingerprint"]


def _salt(person: int) -> str:
    return f"curriculum.travel:{person}"
