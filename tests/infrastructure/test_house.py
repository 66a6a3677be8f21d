"""The checkout as a whole: no missing migration, nothing of one machine, nothing too long to read."""

import ast
import re

import pytest
from django.core.management import call_command

from .source import ROOT, own_files, place, python_files

LONGEST_FILE = 300
LONGEST_FUNCTION = 40

# In pieces, or this file would be found too.
HOSTS = ["pypi" + ".org", "pythonhosted" + ".org", "npmjs" + ".org", "crates" + ".io", "golang" + ".org"]
OF_ONE_MACHINE = re.compile(
    "|".join(
        [
            r"(?<![\w./-])/(?:root|work|home)/",
            *(re.escape(host) for host in HOSTS),
        ]
    )
)


@pytest.mark.django_db
def test_no_migration_is_missing() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


@pytest.mark.django_db
def test_the_system_check_finds_no_error() -> None:
    call_command("check", deploy=True, fail_level="ERROR", databases=["default"])


def test_no_file_names_a_registry_or_a_path_of_one_machine() -> None:
    found = []
    for file in own_files():
        content = file.read_bytes()
        if b"\0" in content:
            continue
        for number, line in enumerate(content.decode(errors="replace").splitlines(), 1):
            if OF_ONE_MACHINE.search(line):
                found.append(f"{file.relative_to(ROOT)}:{number}")
    assert found == []


def test_locked_requirements_name_no_index() -> None:
    for file in (ROOT / "requirements").glob("*.txt"):
        text = file.read_text()
        assert "--hash=sha256:" in text
        assert "://" not in text
        assert "index-url" not in text


@pytest.mark.parametrize(
    ("text", "is_found"),
    [
        ("cd /" + "root/shop", True),
        ("'/" + "work/main'", True),
        ("https://pypi" + ".org/simple", True),
        ("/api/work/1", False),
        ("~/shop", False),
    ],
)
def test_the_look_out_tells_a_machine_from_an_address(text: str, is_found: bool) -> None:
    assert bool(OF_ONE_MACHINE.search(text)) is is_found


def test_no_file_is_too_long_to_read() -> None:
    files = python_files("shop", "kits", "inventory", "tests")
    lengths = {str(file.relative_to(ROOT)): len(file.read_text().splitlines()) for file in files}
    assert {file: length for file, length in lengths.items() if length > LONGEST_FILE} == {}


def too_long(source: str) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    """The functions that go on for too long, docstring apart, without `# Long because ...` inside."""
    lines, found = source.splitlines(), []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[1] if ast.get_docstring(node) and len(node.body) > 1 else node.body[0]
            end = node.end_lineno or 0
            reason = any("# Long because " in line for line in lines[node.lineno - 1 : end])
            if end - first.lineno >= LONGEST_FUNCTION and not reason:
                found.append(node)
    return found


def test_no_function_is_too_long_to_read() -> None:
    files = python_files("shop", "kits", "inventory", "tests")
    found = [f"{place(file, node)} {node.name}" for file in files for node in too_long(file.read_text())]
    assert found == [], "Split it, or say inside: # Long because ..."


@pytest.mark.parametrize(
    ("body", "is_found"),
    [
        ("    x = 1\n" * 40, False),
        ("    x = 1\n" * 41, True),
        ("    # Long because it is a list.\n" + "    x = 1\n" * 41, False),
        ('    """' + "words\n" * 41 + '"""\n    x = 1', False),
    ],
)
def test_the_look_out_counts_lines(body: str, is_found: bool) -> None:
    assert bool(too_long("def f():\n" + body)) is is_found
