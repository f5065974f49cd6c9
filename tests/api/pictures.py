"""Small pictures and documents, and what looks like them and is something else."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from PIL import Image, PngImagePlugin

PDF = b"%PDF-1.7\n1 0 obj\n<< /Type /Catalog >>\nendobj\ntrailer << /Root 1 0 R >>\n%%EOF\n"
_ORIENTATION, _GPS, _LATITUDE = 0x0112, 0x8825, 2


def picture(kind: str = "JPEG", size: tuple[int, int] = (64, 48), shade: int = 128) -> bytes:
    """Return a picture of one shade of grey."""
    made = BytesIO()
    Image.new("RGB", size, (shade, shade, shade)).save(made, kind)
    return made.getvalue()


def camera_photo(size: tuple[int, int] = (1200, 800)) -> bytes:
    """Return a JPEG with a black left half, to be turned by 90°, that says where it was taken."""
    photo = Image.new("RGB", size, "white")
    photo.paste("black", (0, 0, size[0] // 2, size[1]))
    noted = Image.Exif()
    noted[_ORIENTATION] = 6
    noted[0x010F] = "MAKER-OF-THE-CAMERA"
    noted.get_ifd(_GPS)[_LATITUDE] = (53.0, 20.0, 30.0)
    made = BytesIO()
    photo.save(made, "JPEG", exif=noted, comment=b"SECRET-COMMENT")
    return made.getvalue()


def png_bomb(width: int, height: int) -> bytes:
    """Return a PNG of few bytes that claims to have many points."""
    signature = b"\x89PNG\r\n\x1a\n"
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress(b"\x00" * 100_000)
    return signature + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in ((b"IHDR", head), (b"IDAT", rows), (b"IEND", b""))
    )


def zip_of(size: int) -> bytes:
    """Return a ZIP archive with one file of zeros."""
    made = BytesIO()
    with ZipFile(made, "w", ZIP_DEFLATED) as archive:
        archive.writestr("zeros", bytes(size))
    return made.getvalue()


def png_with_text(size: int) -> bytes:
    """Return a PNG with a compressed text that becomes large."""
    text = PngImagePlugin.PngInfo()
    text.add_text("note", "x" * size, zip=True)
    made = BytesIO()
    Image.new("L", (8, 8)).save(made, "PNG", pnginfo=text)
    return made.getvalue()
