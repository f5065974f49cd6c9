"""Whether a file is a photo or a document: its content decides, not its name."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from threading import Lock
from typing import Final

from PIL import Image, ImageOps

from ribstitch.planning.errors import InvalidValueError

JPEG: Final = "image/jpeg"
PNG: Final = "image/png"
WEBP: Final = "image/webp"
PDF: Final = "application/pdf"
UNTOLD: Final = "application/octet-stream"
"""Sent where the sender does not know the type."""
ENDINGS: Final = {JPEG: (".jpg", ".jpeg"), PNG: (".png",), WEBP: (".webp",), PDF: (".pdf",)}
"""How files of each type are called, the usual ending first."""
THUMBNAIL: Final = WEBP

_FORMATS: Final = {"JPEG": JPEG, "PNG": PNG, "WEBP": WEBP}
_WIDEST = 480
"""Longer side of a thumbnail. [points]"""
_WIDEST_DRAWING = 2_000
"""Longer side of a drawing: as sharp as a map on a large screen, or on paper, needs. [points]"""
_FEW_SHADES: Final = {"1": "L", "P": "RGBA"}
"""Made smaller as they are, thin lines would break: they are given all shades first."""
_MOST_POINTS = 64_000_000
"""Of a picture: more would not fit into the memory of a small machine."""
_TAIL = 1024
"""A PDF ends with its end mark, within so many bytes (ISO 32000-1, annex H.3, note 18)."""
_ONE_AT_A_TIME = Lock()
"""Decoding takes much memory: many pictures at once must not take it all."""


@dataclass(frozen=True, slots=True)
class CheckedFile:
    """What a file was found to be."""

    media_type: str
    thumbnail: bytes | None
    """Upright, as WebP, without what the camera wrote into it; None for a document."""


def media_type_of(content: bytes) -> str | None:
    """Return the type that the first bytes of a file show; None for all that is not taken."""
    if content.startswith(b"\xff\xd8\xff"):
        return JPEG
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return PNG
    if content.startswith(b"RIFF") and content[8:12] == b"WEBP":
        return WEBP
    return PDF if content.startswith(b"%PDF-") else None


@dataclass(frozen=True, slots=True)
class DrawnPicture:
    """A picture to draw on."""

    content: bytes
    """Upright on white paper, as WebP, without what the camera wrote into it."""
    width: int
    """[points]"""
    height: int
    """[points]"""


def check_file(content: bytes, declared: str) -> CheckedFile:
    """
    Check that a file is a whole JPEG, PNG or WebP picture or a PDF document.

    Parameters
    ----------
    content
        The file.
    declared
        The type that its sender names; `UNTOLD` if the sender does not know.

    Raises
    ------
    InvalidValueError
        If it is something else than it is said to be, is broken or cut off, or is a picture
        with too many points.
    """
    found = _checked_type(content, declared)
    if found == PDF:
        if b"%%EOF" not in content[-_TAIL:]:
            raise InvalidValueError("file", "the document is cut off: its end is missing", declared)
        return CheckedFile(PDF, None)
    with _ONE_AT_A_TIME:
        return CheckedFile(found, _smaller(content, _WIDEST).content)


def _checked_type(content: bytes, declared: str) -> str:
    """
    Return the type that the first bytes of a file show.

    Raises
    ------
    InvalidValueError
        If it is none that is taken, or another one than its sender says.
    """
    found = media_type_of(content)
    if found is None:
        reason = "it is no JPEG, PNG or WebP picture and no PDF document, whatever its name says"
        raise InvalidValueError("file", reason, declared)
    if declared not in {found, UNTOLD}:
        raise InvalidValueError("file", f"it was sent as {declared} but is {found}", declared)
    return found


def check_drawing(content: bytes, declared: str) -> DrawnPicture:
    """
    Check that a file is a whole JPEG, PNG or WebP picture, and make a drawing of it.

    Parameters
    ----------
    content
        The file.
    declared
        The type that its sender names; `UNTOLD` if the sender does not know.

    Raises
    ------
    InvalidValueError
        As `check_file`; also if it is a document.
    """
    if _checked_type(content, declared) == PDF:
        reason = "a drawing is a JPEG, PNG or WebP picture: save the page of the document as one"
        raise InvalidValueError("file", reason, declared)
    with _ONE_AT_A_TIME:
        return _smaller(content, _WIDEST_DRAWING, on_paper=True)


def _smaller(content: bytes, widest: int, *, on_paper: bool = False) -> DrawnPicture:
    """
    Decode a picture to its end and return it upright, its longer side at most so many points.

    Raises
    ------
    InvalidValueError
        If it has too many points or cannot be decoded.
    """
    try:
        with Image.open(BytesIO(content), formats=tuple(_FORMATS)) as picture:
            _refuse_bomb(*picture.size)
            picture.draft("RGB", (widest, widest))
            upright = ImageOps.exif_transpose(picture)
            if on_paper and upright.mode in _FEW_SHADES:
                upright = upright.convert(_FEW_SHADES[upright.mode])
            upright.thumbnail((widest, widest))
            clean = upright.convert("RGBA" if upright.has_transparency_data else "RGB")
            if on_paper and clean.mode == "RGBA":
                clean = Image.alpha_composite(Image.new("RGBA", clean.size, "white"), clean)
                clean = clean.convert("RGB")
            clean.info = {}
            made = BytesIO()
            clean.save(made, "WEBP", quality=80)
            return DrawnPicture(made.getvalue(), *clean.size)
    except InvalidValueError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise InvalidValueError("file", _too_many(), None) from bomb
    except Exception as broken:  # decoders raise whatever they stumble over
        reason = "the picture cannot be read to its end: it is broken or cut off"
        raise InvalidValueError("file", reason, None) from broken


def _refuse_bomb(width: int, height: int) -> None:
    """Refuse a picture that takes too much room when it is decoded."""
    if width * height > _MOST_POINTS:
        raise InvalidValueError("file", f"{_too_many()} (it has {width} × {height})", None)


def _too_many() -> str:
    return f"the picture has more than {_MOST_POINTS // 1_000_000} million points"
