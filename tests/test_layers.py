"""The layers of ARCHITECTURE.md hold: a row imports only from rows with a smaller number."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "src" / "overbend"
LAYERS = {
    1: {"errors", "units", "solver", "examples"},
    2: {"curve", "wood"},
    3: {"bend", "steam", "seat"},
    4: {"form", "stock", "glue", "frame", "shop"},
    5: {"project"},
    6: {"plan"},
    7: {"study", "ledger", "draw", "book"},
    8: {"cli", "web"},
}
ROW = {name: row for row, names in LAYERS.items() for name in names}
ONE_ROOM = {
    ("units", "errors"),
    ("solver", "errors"),
    ("book", "draw"),
    ("book", "study"),
    ("cli", "web"),
}
HEAVY = {"scipy", "shapely", "ezdxf", "svgelements", "typst", "ortools", "highspy", "trimesh",
         "plotly", "pydantic", "numpy"}  # fmt: skip


def room(path: Path, root: Path = ROOT) -> str:
    parts = path.relative_to(root).parts
    return parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            if node.module == "overbend":
                found |= {f"overbend.{alias.name}" for alias in node.names}
    return found


def broken(path: Path, root: Path = ROOT) -> list[str]:
    own = room(path, root)
    wrong = []
    for name in imports(path):
        head, _, tail = name.partition(".")
        other = tail.split(".")[0]
        if head != "overbend" or other in ("", own) or other not in ROW:
            continue
        if ROW[other] >= ROW[own] and (own, other) not in ONE_ROOM:
            wrong.append(f"{own} ({path.name}) imports {other}")
    return wrong


MODULES = [p for p in sorted(ROOT.rglob("*.py")) if room(p) in ROW]


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_only_downwards(path):
    assert broken(path) == []


def test_every_module_has_a_row():
    rooms = {room(p) for p in ROOT.rglob("*.py")} - {"__init__", "__main__"}
    assert rooms <= set(ROW)


def test_a_broken_layer_is_noticed(tmp_path):
    bad = tmp_path / "curve" / "bad.py"
    bad.parent.mkdir()
    bad.write_text("from overbend.project import load\nfrom overbend import wood\n")
    assert len(broken(bad, tmp_path)) == 2


def test_the_command_line_imports_nothing_heavy():
    top = {
        (n.module if isinstance(n, ast.ImportFrom) else n.names[0].name).split(".")[0]
        for path in (ROOT / "cli").glob("*.py")
        for n in ast.parse(path.read_text()).body
        if isinstance(n, ast.Import | ast.ImportFrom)
    }
    assert not top & HEAVY
