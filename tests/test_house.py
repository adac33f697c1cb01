"""The rules of the house, read off the source itself: forgotten things announce themselves."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command

ROOT = Path(__file__).resolve().parents[1]
APPS = ("shop", "catalog", "estimates")
MAY_IMPORT = {"shop": {"shop"}, "catalog": {"shop", "catalog"}, "estimates": set(APPS)}
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "manage.py", "pyproject.toml", "uv.lock", "shop", "catalog", "estimates",
    "templates", "fixtures", "tests",
}  # fmt: skip
# The project package puts the apps together: its settings, addresses and start-up name them.
PUTS_TOGETHER = {"shop/settings.py", "shop/urls.py", "shop/api/urls.py"}


def sources(*folders: str) -> list[Path]:
    return sorted(p for f in folders for p in (ROOT / f).rglob("*.py") if "migrations" not in p.parts)


def name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def imported(path: Path) -> set[str]:
    """Every module named by an import anywhere in the file."""
    found: set[str] = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found.add(node.module)
    return found


RULES = [path for app in APPS for path in sources(f"{app}/rules")]


def test_the_modules_of_the_house_are_found():
    assert {"shop/rules/totals.py", "catalog/rules/fitment.py", "estimates/rules/pricing.py"} <= {
        name(path) for path in RULES
    }


def test_all_rules_can_be_imported_where_there_is_no_django():
    """Transitively, in a process of its own in which Django cannot be imported."""
    modules = [".".join(path.relative_to(ROOT).with_suffix("").parts) for path in RULES]
    program = (
        "import sys, importlib\n"
        "class Blocked:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name.partition('.')[0] in ('django', 'rest_framework'):\n"
        "            raise ImportError(f'{name} is blocked')\n"
        "sys.meta_path.insert(0, Blocked())\n"
        f"failed = []\nfor name in {modules!r}:\n"
        "    try:\n        importlib.import_module(name)\n"
        "    except ImportError as error:\n        failed.append(f'{name}: {error}')\n"
        "print('\\n'.join(failed))\n"
        "try:\n    import django\nexcept ImportError:\n    pass\nelse:\n    print('django was not blocked')\n"
    )
    result = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert result.stdout.strip() == ""


@pytest.mark.parametrize("app", APPS)
def test_imports_run_one_way_estimates_catalog_shop(app):
    wrong = [
        f"{name(path)} imports {module}"
        for path in sources(app)
        if name(path) not in PUTS_TOGETHER
        for module in sorted(imported(path))
        if module.partition(".")[0] in set(APPS) - MAY_IMPORT[app]
    ]
    assert wrong == []


def test_nothing_in_the_product_imports_its_tests():
    assert [name(p) for p in sources(*APPS) if any(m.partition(".")[0] == "tests" for m in imported(p))] == []


MONEY = [
    *RULES,
    *(ROOT / app / f"{part}.py" for app in APPS for part in ("actions", "queries", "cards")),
    *sources(
        "estimates/documents",
        "catalog/models",
        "estimates/models",
        "shop/models",
        "catalog/packs",
        "catalog/offers",
    ),
    *(ROOT / "estimates" / f"{part}.py" for part in ("builder", "issuing", "jobfile", "terminal", "demo")),
]
# The solver works in floating point; what it answers is checked again in whole numbers, in the same file.
SOLVER = "estimates/rules/sourcing/solver.py"
# Coordinates of a drawing, and how much alike two words or unit codes are.
NO_MONEY = {SOLVER, "estimates/documents/chart.py", "shop/rules/entry.py", "shop/rules/unit_table.py"}


def calls(node: ast.AST, function: str) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == function


def test_no_float_comes_near_money():
    wrong = []
    for path in MONEY:
        if not path.exists() or name(path) in NO_MONEY:
            continue
        for node in ast.walk(tree(path)):
            literal = isinstance(node, ast.Constant) and isinstance(node.value, (float, complex))
            called = (
                isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "float"
            )
            field = isinstance(node, ast.Attribute) and node.attr == "FloatField"
            if literal or called or field:
                wrong.append(f"{name(path)}, line {node.lineno}")
    assert wrong == []


def test_only_one_place_rounds_money():
    """No `round()` and no rounding mode of decimal in the rules outside shop/rules/rounding.py."""
    wrong = []
    for path in RULES:
        if name(path) in ("shop/rules/rounding.py", SOLVER):
            continue
        for node in ast.walk(tree(path)):
            rounds = (
                isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "round"
            )
            mode = isinstance(node, ast.Name) and node.id.startswith("ROUND_")
            if rounds or mode:
                wrong.append(f"{name(path)}, line {node.lineno}")
    assert wrong == []


CLOCKS = {"date", "datetime", "timezone"}


def test_rules_read_no_clock():
    """Days and times are passed in, so that a rule says the same tomorrow."""
    wrong = []
    for path in RULES:
        for node in ast.walk(tree(path)):
            called = node.func if isinstance(node, ast.Call) else node
            if not isinstance(called, ast.Attribute) or called.attr not in ("today", "now", "utcnow"):
                continue
            of_a_clock = isinstance(called.value, ast.Name) and called.value.id in CLOCKS
            if called is not node or of_a_clock:
                wrong.append(f"{name(path)}, line {node.lineno}")
    assert wrong == []


def tracked() -> list[str]:
    return subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.splitlines()


@pytest.mark.skipif(not (ROOT / ".git").exists(), reason="not a checkout")
def test_the_top_level_holds_what_belongs_there_and_nothing_else():
    top = {path.partition("/")[0] for path in tracked()}
    assert {entry for entry in top if not entry.startswith(".")} <= TOP_LEVEL


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_every_change_of_the_models_has_its_migration():
    call_command("makemigrations", "--check", "--dry-run", verbosity=0)


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_django_finds_nothing_to_complain_about():
    call_command("check", fail_level="WARNING")
