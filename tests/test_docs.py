"""README and DEVELOPERS name what exists: settings, commands, mails, markers."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def environment_names() -> list[str]:
    settings = (ROOT / "config" / "settings.py").read_text(encoding="utf-8")
    return sorted(set(re.findall(r"\"(WALLFUL_[A-Z_]+)\"", settings)))


def command_names() -> list[str]:
    folders = [ROOT / app / "management" / "commands" for app in ("campaign", "fulfilment")]
    return sorted(p.stem for folder in folders for p in folder.glob("*.py") if not p.stem.startswith("_"))


@pytest.mark.parametrize("name", environment_names())
def test_every_environment_variable_is_in_the_readme_and_the_example(name):
    if name == "WALLFUL_TEST_DB_ON_DISK":
        assert name in DEVELOPERS
        return
    assert f"`{name}`" in README
    assert name in (ROOT / ".env.example").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", command_names())
def test_every_command_is_in_the_readme(name):
    assert f"manage.py {name}" in README


@pytest.mark.parametrize("path", sorted((ROOT / "templates" / "mail").glob("*.subject")), ids=lambda p: p.stem)
def test_every_mail_is_in_the_developers_table_and_has_both_parts(path):
    assert f"| `{path.stem}` |" in DEVELOPERS
    assert path.with_suffix(".txt").exists()
    assert path.with_suffix(".html").exists()


def test_every_test_marker_is_explained():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    for marker in project["tool"]["pytest"]["ini_options"]["markers"]:
        assert f"-m {marker.split(':')[0]}" in DEVELOPERS


def test_the_readme_says_the_job_in_its_first_paragraph():
    first = README.split("\n\n")[1]
    assert not first.startswith(("#", "!", "-", "```"))
    assert 60 <= len(first.split()) <= 160
