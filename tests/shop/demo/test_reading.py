"""A wrong fixture file is refused with the file, the entry, the field, and what to do."""

from pathlib import Path

import pytest

from shop.demo.known import Known
from shop.demo.reading import Entry, FixtureError, read_csv, read_yaml

ENTRY = Entry(
    "parts/some.yaml",
    "parts AB-1",
    {"price": "12.5x", "name": 12, "pack": "many", "size": "25", "flag": "yes", "list": "a", "kind": "odd"},
)


@pytest.mark.parametrize(
    ("read", "said"),
    [
        (lambda: ENTRY.text("number"), "number: is missing; give it"),
        (lambda: ENTRY.text("name"), "name: 12 is read as int; put it in quotes"),
        (lambda: ENTRY.money("price"), "price: '12.5x' is not a figure"),
        (lambda: ENTRY.whole("pack"), "pack: 'many' is not a whole number"),
        (lambda: ENTRY.whole("least"), "least: is missing; give a whole number"),
        (lambda: ENTRY.band("size"), "size: '25' has no unit; add mm"),
        (lambda: ENTRY.length("size"), "size: '25' has no unit; add mm"),
        (lambda: ENTRY.flag("flag"), "flag: 'yes' is neither true nor false"),
        (lambda: ENTRY.names("list"), "list: is a list of texts"),
        (lambda: ENTRY.entries("list"), "list: is a list of mappings"),
        (lambda: ENTRY.entry("list"), "list: is a mapping of names to values"),
        (lambda: ENTRY.choice("kind", ["chain", "pair"]), "kind: 'odd' is not one of chain, pair"),
        (lambda: ENTRY.only("price", "name"), "pack: is not known here; use one of price, name"),
        (lambda: Known().part(ENTRY, "kind"), "kind: 'odd' is not in parts/; add it there or mend the name"),
    ],
)
def test_a_wrong_field_is_named_with_what_to_do(read: object, said: str) -> None:
    assert callable(read)
    with pytest.raises(FixtureError) as caught:
        read()
    assert str(caught.value).startswith("parts/some.yaml: parts AB-1, ")
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("content", "said"),
    [("- one\n", "begins with no mapping"), ("a: [1\n", "is not YAML; mend it where it says so")],
)
def test_a_file_that_is_no_mapping_is_refused(tmp_path: Path, content: str, said: str) -> None:
    (tmp_path / "engines.yaml").write_text(content)
    with pytest.raises(FixtureError, match=said):
        read_yaml("engines.yaml", tmp_path)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(FixtureError, match=r"stock\.csv: the file is missing"):
        read_csv("stock.csv", ["place"], tmp_path)


def test_a_row_that_is_too_long_or_short_is_named_by_its_line(tmp_path: Path) -> None:
    for row in ("N-01,a,b", "N-01"):
        (tmp_path / "stock.csv").write_text(f"place,part\nN-02,x\n{row}\n")
        with pytest.raises(FixtureError, match=r"stock\.csv: line 3, columns: there should be 2"):
            read_csv("stock.csv", ["place", "part"], tmp_path)


def test_another_heading_is_refused(tmp_path: Path) -> None:
    (tmp_path / "stock.csv").write_text("place,thing\n")
    with pytest.raises(FixtureError, match="write place,part"):
        read_csv("stock.csv", ["place", "part"], tmp_path)


def test_an_entry_is_named_by_its_code_or_its_place() -> None:
    file = Entry("engines.yaml", "", {"families": [{"code": "heddle"}, {"name": "none"}]})
    assert [entry.where for entry in file.entries("families")] == ["families heddle", "families 2"]
