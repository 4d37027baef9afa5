"""Whatever is in a folder, reading it gives verdicts and never an exception."""

import io
import tempfile
import zipfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.showfolder import Outcome, read_show_folder
from tests.campaign.showfolder.folders import SETTINGS, TABLES, workbook, write_folder

NAMES = [
    *TABLES,
    "show.toml",
    "settings.csv",
    "walls.xlsx",
    "show.xlsx",
    "w01.png",
    "walls.tsv",
    "notes.md",
    "x.numbers",
]
CELLS = st.text(alphabet=st.characters(codec="utf-8", exclude_characters="\x00"), max_size=12)


def _check(name: str, data: bytes) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = write_folder(Path(place))
        (folder / name).write_bytes(data)
        read = read_show_folder(folder)
    for verdict in read.verdicts:
        assert verdict.file
        assert verdict.sentence or verdict.outcome is Outcome.OK
        assert "\n" not in verdict.file


@settings(max_examples=40)
@given(st.sampled_from(NAMES), st.binary(max_size=400))
def test_arbitrary_bytes_under_any_name_never_raise(name, data):
    _check(name, data)


@settings(max_examples=40)
@given(st.sampled_from(list(TABLES)), st.data())
def test_damaged_tables_never_raise(name, data):
    text = TABLES[name]
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        end = data.draw(st.integers(start, min(len(text), start + 8)))
        text = text[:start] + data.draw(CELLS) + text[end:]
    _check(name, text.encode("utf-8", "surrogatepass"))


@settings(max_examples=25)
@given(st.data())
def test_damaged_settings_never_raise(data):
    text = SETTINGS
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(text)))
        end = data.draw(st.integers(start, min(len(text), start + 10)))
        text = text[:start] + data.draw(CELLS) + text[end:]
    _check("show.toml", text.encode("utf-8", "surrogatepass"))


def test_settings_nested_too_deep_are_refused():
    _check("show.toml", b"a = " + b"[" * 20_000)


BOOK = workbook({"walls": [["code", "width", "height"], ["n", 5, 2.8], ["s", "5 m", "=A1"]]})


@settings(max_examples=30)
@given(st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), min_size=1, max_size=20))
def test_damaged_workbooks_never_raise(changes):
    data = bytearray(BOOK)
    for place, value in changes:
        data[min(int(place * len(data)), len(data) - 1)] = value
    _check("walls.xlsx", bytes(data))


@settings(max_examples=25)
@given(st.sampled_from(zipfile.ZipFile(io.BytesIO(BOOK)).namelist()), st.floats(0, 1), st.binary(max_size=30))
def test_workbooks_with_a_damaged_part_never_raise(part, place, data):
    source, target = zipfile.ZipFile(io.BytesIO(BOOK)), io.BytesIO()
    with zipfile.ZipFile(target, "w") as copy:
        for name in source.namelist():
            body = source.read(name)
            if name == part:
                at = int(place * len(body))
                body = body[:at] + data + body[at + len(data) :]
            copy.writestr(name, body)
    _check("walls.xlsx", target.getvalue())
