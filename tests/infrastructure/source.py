"""Reading the house's own source, for the tests that hold it to its rules."""

import ast
import subprocess
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
HOUSE = ("shop", "kits", "inventory")


def own_files() -> list[Path]:
    """Every file that is in git or could be added to it."""
    command = [
        "git",
        "-c",
        "safe.directory=*",
        "ls-files",
        "-z",
        "--cached",
        "--others",
        "--exclude-standard",
    ]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, check=True, text=True).stdout
    return [ROOT / name for name in sorted(set(listed.split("\0"))) if name and (ROOT / name).is_file()]


def python_files(*folders: str) -> list[Path]:
    """The Python files below these folders of the checkout, migrations left out."""
    files = (file for folder in folders for file in (ROOT / folder).rglob("*.py"))
    return sorted(file for file in files if "migrations" not in file.parts)


def place(file: Path, node: ast.stmt | ast.expr) -> str:
    """Where something stands, as a person would look it up."""
    return f"{file.relative_to(ROOT) if file.is_relative_to(ROOT) else file}:{node.lineno}"


def imports(tree: ast.AST) -> Iterator[tuple[ast.stmt, str]]:
    """Every absolutely imported name in full: `from a import b` counts as `a.b`."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node, alias.name
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            for alias in node.names:
                yield node, f"{node.module}.{alias.name}"


def dotted(node: ast.expr) -> str:
    """`a.b.c` as it is written, or "" for what is no plain name."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        left = dotted(node.value)
        return f"{left}.{node.attr}" if left else ""
    return ""
