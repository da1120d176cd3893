"""How large a photo may be, before anything of it is unpacked."""

MAX_PHOTO_BYTES = 12 * 1024 * 1024
MAX_JPEG_PIXELS = 60_000_000
"""Above today's 50-megapixel phones; unpacked in grey, or in small, it takes 60 MB."""
MAX_OTHER_PIXELS = 24_000_000
"""PNG and WebP unpack in full colour and at full size; what phones send so are screenshots, at most 10 megapixels."""
FORMATS = ("JPEG", "PNG", "WEBP")
"""What phones send; a JPEG that holds several pictures (MPO) is opened as JPEG. Every other decoder of the library is
one more that a crafted file could reach."""


def most_pixels(kind: str) -> int:
    """The most pixels that a picture of this format may have.

    Examples
    --------
    >>> most_pixels("JPEG") > most_pixels("PNG")
    True
    """
    return MAX_JPEG_PIXELS if kind in ("JPEG", "MPO") else MAX_OTHER_PIXELS
