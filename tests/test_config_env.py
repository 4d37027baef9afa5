"""Settings come from the environment, and one that makes no sense stops the start with a sentence that names it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from config.env import BadSetting, env_bool, env_int, env_list, env_secret, env_str

ROOT = Path(__file__).parent.parent


@pytest.mark.parametrize(("text", "value"), [("1", True), ("Yes", True), ("on", True), ("0", False), ("FALSE", False)])
def test_yes_and_no_in_the_usual_spellings(monkeypatch, text, value):
    monkeypatch.setenv("WALLFUL_X", text)
    assert env_bool("WALLFUL_X", default=not value) is value


@pytest.mark.parametrize("text", [None, "", "  "])
def test_unset_and_empty_is_the_default(monkeypatch, text):
    monkeypatch.delenv("WALLFUL_X", raising=False)
    if text is not None:
        monkeypatch.setenv("WALLFUL_X", text)
    assert env_bool("WALLFUL_X", default=True) is True
    assert env_int("WALLFUL_X", default=7) == 7


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (lambda: env_bool("WALLFUL_X", default=True), "maybe"),
        (lambda: env_int("WALLFUL_X", default=1), "ten"),
        (lambda: env_int("WALLFUL_X", default=1), "1.5"),
        (lambda: env_int("WALLFUL_X", default=1, at_least=1), "0"),
        (lambda: env_secret("WALLFUL_X", debug=False), "too short"),
    ],
)
def test_nonsense_is_refused_by_name(monkeypatch, read, text):
    monkeypatch.setenv("WALLFUL_X", text)
    with pytest.raises(BadSetting, match=r"^WALLFUL_X: "):
        read()


def test_list_is_words_between_commas(monkeypatch):
    monkeypatch.setenv("WALLFUL_X", " a.example, ,b.example ")
    assert env_list("WALLFUL_X", default=[]) == ["a.example", "b.example"]
    monkeypatch.delenv("WALLFUL_X")
    assert env_list("WALLFUL_X", default=["c.example"]) == ["c.example"]


def test_secret_is_needed_outside_debug_only(monkeypatch):
    monkeypatch.delenv("WALLFUL_X", raising=False)
    assert len(env_secret("WALLFUL_X", debug=True)) >= 50
    with pytest.raises(BadSetting, match="not set"):
        env_secret("WALLFUL_X", debug=False)


def test_value_may_come_from_a_file(monkeypatch, tmp_path):
    (tmp_path / "secret").write_text("s" * 60 + "\n")
    monkeypatch.setenv("WALLFUL_X_FILE", str(tmp_path / "secret"))
    assert env_secret("WALLFUL_X", debug=False) == "s" * 60


def test_missing_file_is_refused_by_name(monkeypatch, tmp_path):
    monkeypatch.setenv("WALLFUL_X_FILE", str(tmp_path / "nowhere"))
    with pytest.raises(BadSetting, match=r"^WALLFUL_X_FILE: "):
        env_str("WALLFUL_X")


def start(tmp_path: Path, **own: str) -> subprocess.CompletedProcess[str]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("WALLFUL_", "DJANGO_"))}
    env = kept | {"WALLFUL_DATA": str(tmp_path / "data"), "WALLFUL_BOOTSTRAP": "0"} | own
    return subprocess.run(
        [sys.executable, "manage.py", "check"], cwd=ROOT, env=env, capture_output=True, text=True, timeout=60
    )


@pytest.mark.parametrize(
    ("own", "words"),
    [
        ({"WALLFUL_DEBUG": "0"}, "WALLFUL_SECRET_KEY: not set."),
        ({"WALLFUL_DEBUG": "perhaps"}, "WALLFUL_DEBUG: 'perhaps' is neither yes nor no"),
        ({"WALLFUL_SMTP_PORT": "0"}, "WALLFUL_SMTP_PORT: 0 is too small"),
        ({"WALLFUL_BOUNCES": "/nowhere/at/all"}, "WALLFUL_BOUNCES: '/nowhere/at/all' is no maildir folder"),
        ({"WALLFUL_DATABASE_URL": "mysql://a:b@127.0.0.1/c"}, "WALLFUL_DATABASE_URL: only postgres"),
    ],
)
def test_start_with_nonsense_ends_with_one_sentence(tmp_path, own, words):
    result = start(tmp_path, **own)
    assert result.returncode == 1
    assert result.stderr.startswith(words)
    assert len(result.stderr.splitlines()) == 1


def test_start_without_any_setting_makes_its_data_folder(tmp_path):
    assert start(tmp_path).returncode == 0
    assert (tmp_path / "data").is_dir()
