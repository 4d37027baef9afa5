import io
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms, ImageFile

from campaign.pictures import (
    MAX_BYTES,
    Picture,
    PictureRefused,
    check_picture,
    digest,
    read_picture,
    thumbnail,
)


def _file(image: Image.Image, kind: str = "PNG", **options: object) -> bytes:
    target = io.BytesIO()
    image.save(target, format=kind, **options)
    return target.getvalue()


def _opened(picture: Picture) -> Image.Image:
    return Image.open(io.BytesIO(picture.webp))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_every_taken_format_becomes_webp(kind):
    picture = read_picture(_file(Image.new("RGB", (300, 200), "teal"), kind))
    assert _opened(picture).format == "WEBP"
    assert (picture.width_px, picture.height_px) == (300, 200) == _opened(picture).size


def test_the_longer_side_is_brought_to_1600_and_the_shape_kept():
    picture = read_picture(_file(Image.new("RGB", (1200, 3200), "teal")))
    assert (picture.width_px, picture.height_px) == (600, 1600)


def test_a_small_picture_is_not_enlarged():
    assert read_picture(_file(Image.new("RGB", (90, 60)))).width_px == 90


def test_same_file_gives_same_bytes_and_digests():
    data = _file(Image.effect_noise((400, 300), 60))
    first, second = read_picture(data), read_picture(data)
    assert first == second
    assert first.sha256 == digest(first.webp)
    assert first.source_sha256 == digest(data)


def test_place_and_camera_are_gone_and_the_picture_stands_upright():
    image = Image.new("RGB", (80, 40), "white")
    image.paste("black", (0, 0, 10, 40))  # a dark left edge, which orientation 6 turns to the top
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "Camera of somebody"
    exif.get_ifd(0x8825)[1] = "N"
    picture = read_picture(_file(image, "JPEG", exif=exif.tobytes(), quality=95))
    opened = _opened(picture)
    assert opened.size == (40, 80)
    assert opened.getpixel((20, 3))[0] < 60
    assert opened.getpixel((20, 70))[0] > 200
    assert not dict(opened.getexif())
    assert b"Camera" not in picture.webp


def test_colours_are_carried_into_srgb_before_the_profile_is_dropped():
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    # The same profile with the red and blue primaries exchanged: its red is our blue.
    swapped = srgb.replace(b"rXYZ", b"swap", 1).replace(b"bXYZ", b"rXYZ", 1).replace(b"swap", b"bXYZ", 1)
    image = Image.new("RGB", (32, 32), (200, 60, 30))
    plain = _opened(read_picture(_file(image, icc_profile=srgb)))
    turned = _opened(read_picture(_file(image, icc_profile=swapped)))
    assert "icc_profile" not in plain.info
    assert plain.getpixel((16, 16))[0] == pytest.approx(200, abs=6)
    assert turned.getpixel((16, 16))[2] == pytest.approx(200, abs=6)
    assert turned.getpixel((16, 16))[0] == pytest.approx(30, abs=8)


def test_a_broken_colour_profile_does_not_stop_the_picture():
    assert read_picture(_file(Image.new("RGB", (30, 30), "teal"), icc_profile=b"no profile at all")).width_px == 30


def test_transparent_parts_become_white_paper():
    opened = _opened(read_picture(_file(Image.new("RGBA", (40, 40), (0, 0, 0, 0)))))
    assert min(opened.getpixel((20, 20))) > 250


@pytest.mark.parametrize("mode", ["1", "L", "P", "LA", "I;16", "RGBA", "CMYK"])
def test_every_colour_mode_is_read(mode):
    kind = "JPEG" if mode == "CMYK" else "PNG"
    image = Image.new(mode, (50, 40)) if mode != "P" else Image.new("RGB", (50, 40)).quantize(4)
    assert read_picture(_file(image, kind)).width_px == 50


def test_sixteen_bit_grey_keeps_its_tone():
    opened = _opened(read_picture(_file(Image.new("I;16", (40, 40), 32896))))
    assert abs(opened.getpixel((20, 20))[0] - 128) <= 3


def test_a_thumbnail_has_480_pixels_and_remembers_its_source():
    data = _file(Image.new("RGB", (1600, 800), "teal"))
    small = thumbnail(read_picture(data))
    assert (small.width_px, small.height_px) == (480, 240)
    assert small.source_sha256 == digest(data)


def test_check_picture_tells_the_size_on_file():
    assert check_picture(_file(Image.new("RGB", (2000, 500)))) == (2000, 500)


def _bomb() -> bytes:
    def chunk(kind: bytes, body: bytes) -> bytes:
        return len(body).to_bytes(4, "big") + kind + body + zlib.crc32(kind + body).to_bytes(4, "big")

    header = (12000).to_bytes(4, "big") * 2 + bytes([8, 2, 0, 0, 0])
    body = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(bytes(100))) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no JPEG, PNG or WEBP"),
        (b"GIF89a" + bytes(40), "no JPEG, PNG or WEBP"),
        (bytes(MAX_BYTES + 1), "more than 60 MB"),
        (_bomb(), "80 million|no JPEG"),
        (_file(Image.effect_noise((300, 300), 90), "JPEG")[:4000], "breaks off"),
        (_file(Image.effect_noise((300, 300), 90))[:4000], "breaks off"),
    ],
)
def test_a_file_that_is_no_whole_picture_is_refused_with_a_sentence(data, words):
    with pytest.raises(PictureRefused, match=words):
        read_picture(data)
    with pytest.raises(PictureRefused, match=words):
        check_picture(data)


@settings(max_examples=120, deadline=None)
@given(
    st.sampled_from(["JPEG", "PNG", "WEBP"]),
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), max_size=12),
    st.floats(0, 1),
)
def test_damaged_pictures_are_read_or_refused_and_nothing_else(kind, changes, kept):
    data = bytearray(_file(Image.effect_noise((40, 30), 50).convert("RGB"), kind))
    for place, value in changes:
        data[min(int(place * len(data)), len(data) - 1)] = value
    try:
        read_picture(bytes(data[: max(1, int(len(data) * (1 - kept * 0.5)))]))
    except PictureRefused as refusal:
        assert str(refusal).endswith(".")


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([b"", b"\xff\xd8\xff\xe0", b"\x89PNG\r\n\x1a\n", b"RIFF\x20\x00\x00\x00WEBPVP8 "]), st.binary())
def test_arbitrary_bytes_are_refused(head, tail):
    with pytest.raises(PictureRefused):
        read_picture(head + tail)


def test_half_a_picture_is_refused_whatever_another_library_told_pillow(monkeypatch):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    with pytest.raises(PictureRefused, match="breaks off"):
        read_picture(_file(Image.effect_noise((300, 300), 90), "JPEG")[:4000])
