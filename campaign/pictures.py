"""
Turns a picture file from outside into one that the site may show: checked, turned upright, small, free of metadata.

Not for drawing: works and walls are drawn elsewhere. The only file that decodes pictures of strangers.
"""

import hashlib
import io
import struct
from dataclasses import dataclass

from PIL import Image, ImageCms, ImageFile, ImageOps

FORMATS = ("JPEG", "PNG", "WEBP")
MAX_BYTES = 60_000_000
MAX_PIXELS = 80_000_000  # a 10,300 × 7,700 scan; below Pillow's own warning at 89 million
LONGEST_PX = 1600
THUMBNAIL_PX = 480
QUALITY = 82
# 1 of 0–6: the higher methods save about 5 % of the bytes and take three times as long.
METHOD = 1

# All that decoders were seen to raise on broken bytes; Pillow documents only OSError and SyntaxError.
_DECODER_FAULTS = (
    OSError,
    SyntaxError,
    ValueError,
    TypeError,
    LookupError,
    ArithmeticError,
    AttributeError,
    NotImplementedError,
    EOFError,
    struct.error,
    Image.DecompressionBombError,
    Image.DecompressionBombWarning,
)


class PictureRefused(ValueError):
    """The file is no picture the site can take; the message is one sentence that says what would do."""


@dataclass(frozen=True, slots=True)
class Picture:
    """
    webp: WEBP bytes in sRGB without metadata; width_px and height_px upright.
    sha256: hex digest of `webp`. source_sha256: hex digest of the file it came from, to tell a known file at once.
    """

    webp: bytes
    width_px: int
    height_px: int
    sha256: str
    source_sha256: str


def read_picture(data: bytes, *, longest_px: int = LONGEST_PX) -> Picture:
    """
    Check a JPEG, PNG or WEBP file and make the site's own copy of it.

    Parameters: data, the whole file, at most 60 MB and 80 million pixels; longest_px, the longer side afterwards
        (smaller pictures are never enlarged).
    Returns: the same bytes for the same file, on the same version of Pillow.
    Raises: PictureRefused.
    Notes: colours are carried into sRGB by the file's own profile before the profile is dropped, transparent parts
        become white paper, and only the first frame of a moving picture is used.
    """
    image = _decode(data, longest_px=longest_px)
    return _encode(image, source_sha256=digest(data))


def check_picture(data: bytes) -> tuple[int, int]:
    """Decode a file as `read_picture` does and keep nothing: its width and height on file, or PictureRefused."""
    size = _open(data).size
    _decode(data, longest_px=THUMBNAIL_PX)
    return size


def thumbnail(picture: Picture) -> Picture:
    """The same picture at 480 pixels on its longer side."""
    image = _decode(picture.webp, longest_px=THUMBNAIL_PX)
    return _encode(image, source_sha256=picture.source_sha256)


def digest(data: bytes) -> str:
    """The SHA-256 of a file as 64 hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def _open(data: bytes) -> Image.Image:
    if not data:
        raise PictureRefused("The file is empty; save the picture again as JPEG or PNG.")
    if len(data) > MAX_BYTES:
        raise PictureRefused(f"The file has {len(data) // 1_000_000} MB, more than 60 MB; save it as a smaller JPEG.")
    try:
        image = Image.open(io.BytesIO(data), formats=FORMATS)
    except _DECODER_FAULTS as fault:
        raise PictureRefused("This is no JPEG, PNG or WEBP picture; save it as one of these.") from fault
    width_px, height_px = image.size
    if width_px * height_px > MAX_PIXELS:
        raise PictureRefused(
            f"The picture has {width_px} × {height_px} pixels, more than 80 million; save it at half the size."
        )
    return image


def _decode(data: bytes, *, longest_px: int) -> Image.Image:
    image = _open(data)
    # WeasyPrint, once imported in this process, tells Pillow to take broken files: half a picture is none of ours.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        # JPEG can be decoded at 1/2, 1/4 or 1/8: a 60-megapixel photograph then takes a fraction of time and memory.
        image.draft("RGB", (longest_px * 2, longest_px * 2))
        image.load()
        image = ImageOps.exif_transpose(image)
        profile = image.info.get("icc_profile")
        image = _on_white(image)
        image.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS)
    except _DECODER_FAULTS as fault:
        raise PictureRefused("The picture breaks off or is damaged; open it, look at it and save it again.") from fault
    return _in_srgb(image, profile)


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode in {"I", "I;16", "I;16L", "I;16B", "I;16N", "F"}:
        # 16-bit grey: Pillow's own conversion clips instead of scaling.
        image = image.convert("I").point(lambda value: value * (1 / 257)).convert("L")
    if image.mode in {"RGBA", "LA", "PA"} or "transparency" in image.info:
        paper = Image.new("RGBA", image.size, "white")
        paper.alpha_composite(image.convert("RGBA"))
        image = paper
    if image.mode == "CMYK":
        return image
    return image.convert("RGB")


def _in_srgb(image: Image.Image, profile: object) -> Image.Image:
    if isinstance(profile, bytes) and profile:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            converted = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
        except (ImageCms.PyCMSError, *_DECODER_FAULTS):
            converted = None  # a broken or foreign profile says nothing; the numbers are taken as sRGB
        if converted is not None:
            return converted
    return image.convert("RGB")


def _encode(image: Image.Image, *, source_sha256: str) -> Picture:
    # A fresh image has an empty `info`, so nothing the file carried can reach the copy.
    clean = Image.new("RGB", image.size)
    clean.paste(image)
    target = io.BytesIO()
    clean.save(target, format="WEBP", quality=QUALITY, method=METHOD)
    webp = target.getvalue()
    return Picture(
        webp=webp, width_px=clean.width, height_px=clean.height, sha256=digest(webp), source_sha256=source_sha256
    )
