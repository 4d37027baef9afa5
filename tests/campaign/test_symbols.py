import io

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from campaign.references import PaymentDetailError
from campaign.symbols import SymbolError, code128_png, epc_qr_png, qr_png

IBAN = "DE89370400440532013000"


def picture(symbol):
    image = Image.open(io.BytesIO(symbol.png))
    assert image.format == "PNG"
    assert image.mode == "L"
    assert image.size == (symbol.width_modules, symbol.height_modules)
    assert set(image.tobytes()) == {0, 255}
    return image


def read(symbol):
    image = picture(symbol)
    return zxingcpp.read_barcode(image.resize((image.width * 3, image.height * 3), Image.Resampling.NEAREST))


@pytest.mark.parametrize(
    "text",
    ["Łódź", "Müller", "abc", "12345", "https://shows.example/p/K7Q29MXA?x=1&y=2", "日本", "a\nb", "Zażółć gęślą — ☂"],
)
def test_qr_code_reads_back_the_same_text_in_utf8(text):
    found = read(qr_png(text))
    assert found.text == text
    assert bytes(found.bytes) == text.encode()
    assert found.ec_level == "M"


@settings(max_examples=50)
@given(st.text(alphabet=st.characters(categories=("L", "N", "P", "Zs")), min_size=1, max_size=120))
def test_any_words_read_back(text):
    assert read(qr_png(text)).text == text


def test_qr_code_has_a_white_edge_of_four_modules():
    image = picture(qr_png("abc"))
    assert image.size == (29, 29)
    assert image.crop((4, 4, 25, 25)).getpixel((0, 0)) == 0
    for box in ((0, 0, 29, 4), (0, 25, 29, 29), (0, 0, 4, 29), (25, 0, 29, 29)):
        assert set(image.crop(box).tobytes()) == {255}


def test_bar_code_has_ten_white_modules_at_either_side():
    image = picture(code128_png("W-AB12-0007"))
    for row in (0, 25, 49):
        line = image.crop((0, row, image.width, row + 1)).tobytes()
        assert set(line[:10]) == set(line[-10:]) == {255}
        assert line[10] == line[-11] == 0


@given(st.text(alphabet=st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=48))
def test_any_plain_text_reads_back_from_its_bars(text):
    assert read(code128_png(text)).text == text


@pytest.mark.parametrize("text", ["", "é", "Ł", "a\n", "x" * 49])
def test_text_that_bars_cannot_carry_is_refused(text):
    with pytest.raises(SymbolError, match="A bar code holds 1 to 48"):
        code128_png(text)


@pytest.mark.parametrize("text", ["", "x" * 3000])
def test_text_that_squares_cannot_carry_is_refused(text):
    with pytest.raises(SymbolError, match="A QR code cannot hold"):
        qr_png(text)


def test_same_text_gives_the_same_bytes():
    assert qr_png("abc") == qr_png("abc")
    assert code128_png("abc") == code128_png("abc")


def test_transfer_code_checks_the_account_before_it_draws():
    with pytest.raises(PaymentDetailError, match="check digits do not fit"):
        epc_qr_png(name="Mara", iban="DE00370400440532013000", amount_minor=1, reference="RF90A1")


@pytest.mark.parametrize("iban", [IBAN, "NO9386011117947", "MT84MALT011000012345MTLCAST001S"])
@pytest.mark.parametrize("letter", ["Ł", "€"])
def test_longest_transfer_still_fits_version_thirteen(iban, letter):
    free = 331 - len(f"BCD\n002\n1\nSCT\n\n\n{iban}\nEUR999999999.99\n\n\n".encode())
    name = letter * 40
    letters, rest = divmod(free - len(name.encode()), len(letter.encode()))
    text = letter * min(letters, 140 - rest) + "x" * rest
    symbol = epc_qr_png(name=name, iban=iban, amount_minor=99_999_999_999, text=text)
    assert symbol.width_modules <= 69 + 8
    assert read(symbol).text.endswith(text)
