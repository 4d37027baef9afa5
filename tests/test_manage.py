"""`manage.py` before Django is there: a sentence for what is missing, and an environment that is made once."""

import ast
import ctypes
import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SOURCE = (ROOT / "manage.py").read_text(encoding="utf-8")


@pytest.fixture
def manage():
    spec = importlib.util.spec_from_file_location("manage_under_test", ROOT / "manage.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_an_old_python_can_read_it_and_gets_a_sentence(manage, monkeypatch):
    ast.parse(SOURCE, feature_version=(3, 6))
    monkeypatch.setattr(manage, "LEAST_PYTHON", (99, 0))
    with pytest.raises(SystemExit, match=r"needs Python 99\.0 or newer and this is 3\.\d+: on Debian run 'apt-get"):
        manage.check_python()


def test_needs_only_the_standard_library():
    top = [node for node in ast.parse(SOURCE).body if isinstance(node, ast.Import | ast.ImportFrom)]
    names = {alias.name for node in top if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module for node in top if isinstance(node, ast.ImportFrom)}
    assert {name.partition(".")[0] for name in names} <= set(sys.stdlib_module_names)


def test_missing_pango_is_one_sentence_with_both_install_lines(manage, monkeypatch):
    def nothing(name):
        raise OSError(name)

    manage.check_pango()  # this machine has it
    monkeypatch.setattr(ctypes, "CDLL", nothing)
    with pytest.raises(SystemExit, match=r"apt-get install libpango.*brew install pango"):
        manage.check_pango()


def test_old_pango_is_refused(manage, monkeypatch):
    monkeypatch.setattr(manage, "LEAST_PANGO", 99_00_00)
    with pytest.raises(SystemExit, match=r"Pango 1\.44 or newer"):
        manage.check_pango()


def test_environment_is_made_once_and_again_only_for_another_lock(manage, monkeypatch, tmp_path, capsys):
    venv = tmp_path / ".venv"
    (tmp_path / "one.lock").write_text("")
    for name, path in {"ROOT": tmp_path, "VENV": venv, "PYTHON": venv / "bin/python", "STAMP": venv / "done"}.items():
        monkeypatch.setattr(manage, name, path)
    manage.make_environment("one.lock")
    assert subprocess.run([venv / "bin/python", "-c", "pass"], check=True).returncode == 0
    assert "First start" in capsys.readouterr().out
    manage.make_environment("one.lock")
    assert capsys.readouterr().out == ""
    (tmp_path / "one.lock").write_text("# changed\n")
    manage.make_environment("one.lock")
    said = capsys.readouterr().out
    assert "First start" not in said
    assert "Fetching the packages of one.lock" in said
    (tmp_path / "bad.lock").write_text("django==5.2.19\n")  # a package without its hash
    with pytest.raises(SystemExit, match="could not be installed"):
        manage.make_environment("bad.lock")
    assert "bad.lock" not in (venv / "done").read_text()
