"""An address as a square that a phone's camera reads."""

from __future__ import annotations

import segno
from django.utils.safestring import SafeString, mark_safe


def qr_code(address: str) -> SafeString:
    """A QR code (ISO/IEC 18004) as SVG, black on white with its quiet zone of four, a quarter of which may be
    covered or worn. Its size is the style sheet's (class `qr`); the address belongs beside it in letters."""
    drawn = segno.make(address, error="q", micro=False)
    picture = drawn.svg_inline(border=4, light="#fff", svgclass="qr", lineclass=None, omitsize=True)
    return mark_safe(picture)  # noqa: S308  (made of squares alone)
