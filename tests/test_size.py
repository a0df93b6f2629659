"""Small functions, small files: 80 % of bodies in 20 lines, none over 80; files to 600."""

import ast
from pathlib import Path

ROOT = Path(__file__).parents[1]
FILES = sorted((ROOT / "src").rglob("*.py")) + sorted((ROOT / "tests").rglob("*.py"))


def bodies(path: Path) -> list[tuple[str, int]]:
    """Name and body length, docstring aside, of every function."""
    found = []
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            rest = node.body[1:] if ast.get_docstring(node) is not None else node.body
            lines = rest[-1].end_lineno - rest[0].lineno + 1 if rest else 0
            found.append((f"{path.name}:{node.name}", lines))
    return found


def test_function_bodies_are_short():
    sizes = [row for path in FILES for row in bodies(path)]
    assert [row for row in sizes if row[1] > 80] == []
    short = sum(lines <= 20 for _, lines in sizes)
    assert short / len(sizes) >= 0.8, f"{short} of {len(sizes)} within 20 lines"


def test_files_are_short():
    lengths = {str(p.relative_to(ROOT)): len(p.read_text().splitlines()) for p in FILES}
    assert {name: n for name, n in lengths.items() if n > 600} == {}
