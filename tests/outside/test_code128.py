"""
Source: Code 128, ISO/IEC 15417. Check values of PJJ123C: encyclopaedia article "Code 128"; of ABCDEF, abcdef and
    345678: table of a bar-code font vendor. Bar patterns, quiet zone (10 modules): the standard, from memory.
Edition: ISO/IEC 15417:2007; read 2026-11-25 in the project's notes on the trade (§6.4); figures only.
What is checked: bars of our pictures, read here module by module, carry the published values; a code printed on a
    4 × 6 in label is decoded again at 203 dpi, the resolution of a thermal printer.
Tolerance: none, whole modules.
"""

import base64
import io

import pytest
import zxingcpp
from PIL import Image

from campaign.symbols import code128_png

pytestmark = pytest.mark.outside

START_A, START_B, START_C = 103, 104, 105
STOP = "2331112"
TABLE = (
    "212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 112232 122132 122231 113222 "
    "123122 123221 223211 221132 221231 213212 223112 312131 311222 321122 321221 312212 322112 322211 212123 212321 "
    "232121 111323 131123 131321 112313 132113 132311 211313 231113 231311 112133 112331 132131 113123 113321 133121 "
    "313121 211331 231131 213113 213311 213131 311123 311321 331121 312113 312311 332111 314111 221411 431111 111224 "
    "111422 121124 121421 141122 141221 112214 112412 122114 122411 142112 142211 241211 221114 413111 241112 134111 "
    "111242 121142 121241 114212 124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113 "
    "114311 411113 411311 113141 114131 311141 411131 211412 211214 211232"
)
PATTERNS = TABLE.split()


def values_of(symbol):
    """The values of start, data and check character, from the widths of the bars (ISO/IEC 15417, table 1)."""
    image = Image.open(io.BytesIO(symbol.png))
    row = image.crop((10, 0, image.width - 10, 1)).tobytes()
    widths, last = [], None
    for shade in row:
        if shade == last:
            widths[-1] += 1
        else:
            widths.append(1)
        last = shade
    text = "".join(map(str, widths))
    assert text.endswith(STOP)
    return [PATTERNS.index(text[at : at + 6]) for at in range(0, len(text) - len(STOP), 6)]


def weighted_sum(values):
    """Start value plus position × value (ISO/IEC 15417, annex A)."""
    return values[0] + sum(position * value for position, value in enumerate(values[1:], 1))


@pytest.mark.parametrize(
    ("text", "start", "total", "check"),
    [
        pytest.param("PJJ123C", START_A, 878, 54, id="encyclopaedia"),
        pytest.param("ABCDEF", START_A, 866, 42, id="font vendor, A"),
        pytest.param("abcdef", START_B, 1539, 97, id="font vendor, B"),
        pytest.param("345678", START_C, 485, 73, id="font vendor, C"),
    ],
)
def test_bars_carry_the_published_check_value(text, start, total, check):
    """Sums and check values of the sources; capitals and digits have the same values in sets A and B."""
    *values, drawn = values_of(code128_png(text))
    # The writer may begin capitals with set B where the source begins with A: the start alone differs.
    as_published = [start, *values[1:]]
    assert values[0] == start or {values[0], start} == {START_A, START_B}
    assert weighted_sum(as_published) == total
    assert weighted_sum(as_published) % 103 == check
    assert drawn == weighted_sum(values) % 103 == (total - start + values[0]) % 103


@pytest.mark.parametrize(("text", "modules"), [("PJJ123C", 112), ("345678", 68)])
def test_width_is_eleven_modules_a_character_and_thirteen_for_the_stop(text, modules):
    """ISO/IEC 15417: 11 × (start, data, check) + 13; PJJ123C is 112, with the quiet zones 132."""
    symbol = code128_png(text)
    assert symbol.width_modules == modules + 2 * 10
    assert modules == 11 * len(values_of(symbol)) + 13


@pytest.mark.parametrize("code", ["W-AB12-0007", "K7Q29MXA-12"])
def test_code_on_a_label_is_decoded_at_the_resolution_of_a_thermal_printer(code):
    """4 × 6 in label at 203 dpi, bars 0.375 mm a module, printed as PDF and read back."""
    symbol = code128_png(code)
    pages = label_at_203_dpi(symbol, width_mm=symbol.width_modules * 0.375, height_mm=15)
    found = zxingcpp.read_barcodes(pages)
    assert [(barcode.text, barcode.format) for barcode in found] == [(code, zxingcpp.BarcodeFormat.Code128)]


def label_at_203_dpi(symbol, *, width_mm, height_mm):
    import pypdfium2
    from weasyprint import HTML

    data = base64.b64encode(symbol.png).decode()
    style = f"image-rendering: pixelated; width: {width_mm}mm; height: {height_mm}mm; margin: 20mm 8mm"
    html = f"""<style>@page {{ size: 4in 6in; margin: 0 }}</style>
        <p>Sample Buyer<br>1 Sample Way</p><img style="{style}" src="data:image/png;base64,{data}">"""
    document = pypdfium2.PdfDocument(HTML(string=html).write_pdf())
    image = document[0].render(scale=203 / 72).to_pil().convert("L")
    assert image.size == (812, 1218)
    # A thermal printer knows black and white only.
    return image.point(lambda shade: 255 if shade > 127 else 0)
