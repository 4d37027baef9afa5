"""The house rules that a machine can check: layers, purity, size, migrations; and that the check does catch."""

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from django.core.management import call_command

ROOT = Path(__file__).parent.parent
PACKAGES = ("config", "campaign", "fulfilment")
LINT = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True, no_logo=True))"
# Each is one line that must not be there, and the name of the contract that catches it.
PLANTS = [
    ("campaign/measures/money.py", "from django.conf import settings as planted", "Computation is pure"),
    ("campaign/planning/placing/wall.py", "import random as planted", "Computation is pure"),
    ("fulfilment/packing/planted.py", "import time as planted", "Computation is pure"),
    ("fulfilment/nesting/planted.py", "import random as planted", "Computation is pure"),
    ("campaign/services/plans.py", "import weasyprint as planted", "Only pdf.py knows WeasyPrint"),
    ("campaign/views/mine.py", "import stripe as planted", "Only processor knows the card processor"),
    ("campaign/models/show.py", "from campaign.services import rates as planted", "Each app is layered"),
    ("campaign/queries/money.py", "from campaign import mail as planted", "Each app is layered"),
    ("campaign/services/rates.py", "from fulfilment import models as planted", "fulfilment builds on campaign"),
    ("campaign/access.py", "from config import settings as planted", "nobody imports config"),
    ("campaign/views/health.py", "from campaign.models import Pledge as planted", "Views and tasks reach rows"),
    ("campaign/planted.py", "", "Each app is layered"),
]


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", LINT], cwd=folder, capture_output=True, text=True, timeout=120)


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("house")
    for package in PACKAGES:
        shutil.copytree(ROOT / package, folder / package, ignore=shutil.ignore_patterns("__pycache__", "static"))
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


def test_every_import_goes_downwards():
    result = lint(ROOT)
    assert result.returncode == 0, result.stdout + result.stderr


@pytest.mark.parametrize(("path", "line", "contract"), PLANTS, ids=[f"{path}:{line}" for path, line, _ in PLANTS])
def test_planted_violation_is_caught(copy, path, line, contract):
    module = copy / path
    before = module.read_text(encoding="utf-8") if module.exists() else None
    module.write_text((before or "") + f"\n{line}\n", encoding="utf-8")
    try:
        result = lint(copy)
    finally:
        module.write_text(before, encoding="utf-8") if before is not None else module.unlink()
    broken = re.findall(r"^(.+?) BROKEN", result.stdout, re.MULTILINE)
    assert result.returncode == 1, result.stdout + result.stderr
    assert any(contract in name for name in broken), result.stdout


@pytest.mark.parametrize(
    "package",
    [
        "campaign.measures",
        "campaign.planning",
        "campaign.drawing",
        "fulfilment.packing",
        "fulfilment.nesting",
        "fulfilment.drawing",
    ],
)
def test_pure_package_loads_no_framework(package):
    code = (
        f"import pkgutil, sys, {package} as p\n"
        "for found in pkgutil.iter_modules(p.__path__): __import__(f'{p.__name__}.{found.name}')\n"
        "print(sorted({name.partition('.')[0] for name in sys.modules} & {'django', 'celery', 'weasyprint', 'redis'}))"
    )
    result = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert result.stdout.strip() == "[]"


def modules() -> list[Path]:
    found = [path for package in PACKAGES for path in (ROOT / package).rglob("*.py")]
    return [ROOT / "manage.py", *(path for path in found if "migrations" not in path.parts)]


def test_no_module_is_longer_than_four_hundred_lines():
    lengths = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines()) for path in modules()}
    assert {name: lines for name, lines in lengths.items() if lines > 400} == {}


def test_no_module_has_a_name_that_says_nothing():
    assert [path for path in modules() if path.stem in {"utils", "helpers", "common", "misc"}] == []


@pytest.mark.django_db
def test_models_and_migrations_agree(capsys):
    call_command("makemigrations", check=True, dry_run=True, verbosity=1)
    assert "No changes detected" in capsys.readouterr().out


def test_migrations_import_no_code_of_the_apps():
    pattern = re.compile(r"^\s*(?:from|import) (?:campaign|fulfilment|config)\.(?!models\.codes)", re.MULTILINE)
    files = [path for package in PACKAGES for path in (ROOT / package).rglob("migrations/*.py")]
    assert [path.name for path in files if pattern.search(path.read_text(encoding="utf-8"))] == []


@pytest.mark.parametrize("name", ["requirements.lock", "requirements-dev.lock"])
def test_lock_has_a_hash_for_every_package_and_no_address(name):
    text = (ROOT / name).read_text(encoding="utf-8")
    assert "://" not in text
    blocks = re.split(r"\n(?=[a-z0-9])", text.split("\n", 2)[2])
    assert len(blocks) > 40
    assert [block.split()[0] for block in blocks if "--hash=sha256:" not in block] == []


def test_every_locked_version_is_the_same_for_running_and_testing():
    pin = re.compile(r"^([a-z0-9._-]+)==(\S+)", re.MULTILINE)
    runtime, dev = (
        dict(pin.findall((ROOT / name).read_text())) for name in ("requirements.lock", "requirements-dev.lock")
    )
    assert {name: dev.get(name) for name in runtime} == runtime


def test_every_dependency_of_the_project_is_locked():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = {re.match(r"[A-Za-z0-9-]+", line)[0].lower() for line in project["dependencies"]}
    locked = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    assert [name for name in names if not re.search(rf"^{name}==", locked, re.MULTILINE)] == []
