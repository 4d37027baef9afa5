"""Files made elsewhere are the ones the manifest names, byte for byte. Not a check of how the pages look."""

import hashlib
import json
import re
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

STATIC = Path(__file__).resolve().parents[2] / "campaign" / "static" / "campaign"
MANIFEST = STATIC / "vendor" / "MANIFEST.json"
ENTRIES = json.loads(MANIFEST.read_text(encoding="utf-8"))["files"]
CSS_FILES = sorted(STATIC.rglob("*.css"))


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry["path"])
def test_each_vendored_file_has_the_hash_of_the_manifest(entry):
    content = (STATIC / entry["path"]).read_bytes()
    assert hashlib.sha256(content).hexdigest() == entry["sha256"]


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry["path"])
def test_each_vendored_file_names_its_origin_and_a_licence_that_is_here(entry):
    assert entry["name"] and entry["version"] and entry["source"]
    assert entry["licence"] in {"OFL-1.1", "MIT"}
    assert (STATIC / entry["licence_file"]).is_file()
    assert ("changed" in entry) == ("source_sha256" in entry)


def test_no_font_or_vendored_file_is_missing_from_the_manifest():
    files = [path for folder in ("fonts", "vendor") for path in (STATIC / folder).rglob("*") if path.is_file()]
    found = {path.relative_to(STATIC).as_posix() for path in files}
    assert found - {"vendor/MANIFEST.json"} == {entry["path"] for entry in ENTRIES}


def test_a_changed_font_gives_up_the_reserved_name():
    """OFL 1.1 clause 3: a changed version may not carry the reserved name of the original."""
    changed = [STATIC / e["path"] for e in ENTRIES if e["path"].startswith("fonts/plan-") and "changed" in e]
    assert changed
    for path in changed:
        names = [str(n) for n in TTFont(path)["name"].names if n.nameID in {1, 3, 4, 6, 16}]
        assert names and not [n for n in names if "plex" in n.lower()]


@pytest.mark.parametrize("weight", [400, 700])
def test_the_font_of_the_papers_knows_the_letters_of_european_addresses(weight):
    known = TTFont(STATIC / "fonts" / f"noto-sans-{weight}.ttf").getBestCmap()
    wanted = "ÅÆØåæøÞþÐðŁłŻżŐőŰűĞğİıŞşȘșȚțĦħŅņĢģĶķĻļŠšŽžČčĚěŘřŮůŸÿŒœßẞĨĩƠơƯưẾếỆệỄễỊị‐–—’“”„…№€£−×Αθήνα Київ Ґґ Ў Ђ"
    assert [letter for letter in wanted if ord(letter) not in known] == []


def test_every_address_in_a_style_sheet_is_a_file_here():
    for css in CSS_FILES:
        for found in re.findall(r"url\(\s*[\"']?([^\"')]+)", css.read_text(encoding="utf-8")):
            address = found.strip()
            assert address.startswith("data:image/svg+xml") or (css.parent / address).is_file(), (css.name, address)


def test_no_style_sheet_pulls_in_another_or_names_a_source_map():
    for css in CSS_FILES:
        text = css.read_text(encoding="utf-8")
        assert "@import" not in text and "sourceMappingURL" not in text
