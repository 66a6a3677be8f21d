"""Networks from files of the open XCSP formats (2.1 and 3), as far as tables go.

Extension constraints in full; a joker value such as -1 for "not there" is an ordinary value. Only for
files that you trust: the reader of the standard library does not defend itself against hostile XML.
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree import ElementTree

from kits.solver.errors import NetworkError
from kits.solver.network import Network, Table


def read_xcsp(path: str) -> Network:
    """The network in a file; NetworkError for anything that is no table over whole numbers."""
    root = ElementTree.parse(path).getroot()  # noqa: S314  # said above
    if root.tag != "instance":
        raise NetworkError(f"{root.tag!r} is not the root of an XCSP file; expected instance")
    return _version_2(root) if root.find("domains") is not None else _version_3(root)


def _version_2(root: ElementTree.Element) -> Network:
    domains = {one.attrib["name"]: _values(one.text or "") for one in root.iterfind("domains/domain")}
    variables = {
        one.attrib["name"]: domains[one.attrib["domain"]] for one in root.iterfind("variables/variable")
    }
    relations = {one.attrib["name"]: one for one in root.iterfind("relations/relation")}
    tables = []
    for one in root.iterfind("constraints/constraint"):
        relation = relations.get(one.attrib["reference"])
        if relation is None:
            raise NetworkError(
                f"constraint {one.attrib['name']} refers to {one.attrib['reference']}, no table"
            )
        scope = tuple(one.attrib["scope"].split())
        tables.append(
            Table(scope, _rows_2(relation), relation.attrib["semantics"] == "supports", one.attrib["name"])
        )
    return Network(variables, tables)


def _rows_2(relation: ElementTree.Element) -> list[tuple[int, ...]]:
    text = (relation.text or "").strip()
    return [tuple(map(int, row.split())) for row in text.split("|")] if text else []


def _version_3(root: ElementTree.Element) -> Network:
    variables: dict[str, list[int]] = {}
    for one in root.iterfind("variables/var"):
        source = root.find(f"variables/var[@id='{one.attrib['as']}']") if "as" in one.attrib else one
        variables[one.attrib["id"]] = _values((source if source is not None else one).text or "")
    for one in root.iterfind("variables/array"):
        size = one.attrib["size"].strip("[]")
        if "][" in size or not size.isdigit():
            raise NetworkError(
                f"array {one.attrib['id']} has size {one.attrib['size']}; only one row is read"
            )
        variables |= {f"{one.attrib['id']}[{i}]": _values(one.text or "") for i in range(int(size))}
    return Network(variables, list(_extensions(root)))


def _extensions(root: ElementTree.Element) -> Iterator[Table]:
    constraints = root.find("constraints")
    for one in constraints if constraints is not None else ():
        if one.tag == "group":
            template = one.find("extension")
            if template is None:
                raise NetworkError("a group without an extension is not read")
            for arguments in one.iterfind("args"):
                yield _extension(template, (arguments.text or "").split())
        elif one.tag == "extension":
            yield _extension(one, (one.findtext("list") or "").split())
        else:
            raise NetworkError(f"a constraint of the kind {one.tag!r} is not read; only extension is")


def _extension(one: ElementTree.Element, scope: list[str]) -> Table:
    supports = one.findtext("supports")
    text = (supports if supports is not None else one.findtext("conflicts") or "").strip()
    rows: list[tuple[int, ...]] = []
    if len(scope) == 1:
        rows = [(value,) for value in _values(text)]
    elif text:
        rows = [tuple(map(int, row.split(","))) for row in text.strip("()").split(")(")]
    return Table(tuple(scope), rows, supports is not None, one.attrib.get("id", ""))


def _values(text: str) -> list[int]:
    """'0 1 3..5' as whole numbers."""
    found: list[int] = []
    for word in text.split():
        low, dots, high = word.partition("..")
        found += range(int(low), int(high) + 1) if dots else [int(low)]
    return found
