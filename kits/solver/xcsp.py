"""Networks from files of the open XCSP formats (2.1 and 3), as far as tables go.

Extension constraints in full; a joker value such as -1 for "not there" is an ordinary value. Only for
files that you trust: the reader of the standard library does not defend itself against hostile XML.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final
from xml.etree import ElementTree

from kits.solver.errors import NetworkError
from kits.solver.network import Network, Table

_SEMANTICS: Final = {"supports": True, "conflicts": False}


def read_xcsp(path: str) -> Network:
    """The network in a file; NetworkError for anything that is no table over whole numbers."""
    if not isinstance(path, str):
        raise NetworkError(f"give the path of a file as a text, not {path!r}")
    try:
        root = ElementTree.parse(path).getroot()  # noqa: S314  # said above
    except (OSError, ElementTree.ParseError) as error:
        raise NetworkError(f"{path} cannot be read as XML: {error}") from error
    if root.tag != "instance":
        raise NetworkError(f"{root.tag!r} is not the root of an XCSP file; expected instance")
    if root.find("objectives") is not None:
        raise NetworkError("an objective is not read; take it out, and give costs to the network")
    try:
        return _version_2(root) if root.find("domains") is not None else _version_3(root)
    except KeyError as error:
        raise NetworkError(f"{path}: {error} is asked for, and not there") from error


def _version_2(root: ElementTree.Element) -> Network:
    domains = {one.attrib["name"]: _values(one.text or "") for one in root.iterfind("domains/domain")}
    variables = {
        one.attrib["name"]: domains[one.attrib["domain"]] for one in root.iterfind("variables/variable")
    }
    relations = {one.attrib["name"]: one for one in root.iterfind("relations/relation")}
    tables = []
    for one in root.iterfind("constraints/constraint"):
        name, reference = one.attrib["name"], one.attrib["reference"]
        relation = relations.get(reference)
        if relation is None or relation.attrib["semantics"] not in _SEMANTICS:
            raise NetworkError(f"constraint {name} refers to {reference}, no table of supports or conflicts")
        rows = [_row(row.split()) for row in (relation.text or "").split("|") if row.strip()]
        tables.append(
            Table(tuple(one.attrib["scope"].split()), rows, _SEMANTICS[relation.attrib["semantics"]], name)
        )
    return Network(variables, tables)


def _version_3(root: ElementTree.Element) -> Network:
    variables: dict[str, list[int]] = {}
    for one in root.iterfind("variables/*"):
        name = one.attrib["id"]
        if len(one) or one.tag not in {"var", "array"}:
            raise NetworkError(f"{one.tag} {name} is not read; only one with its values in itself is")
        values = list(variables[one.attrib["as"]]) if "as" in one.attrib else _values(one.text or "")
        if one.tag == "var":
            variables[name] = values
            continue
        size = one.attrib["size"].strip("[]")
        if not size.isdigit():
            raise NetworkError(f"array {name} has size {one.attrib['size']}; only one row is read")
        variables |= {f"{name}[{i}]": values for i in range(int(size))}
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
            yield _extension(one, [])
        else:
            raise NetworkError(f"a constraint of the kind {one.tag!r} is not read; only extension is")


def _extension(one: ElementTree.Element, arguments: list[str]) -> Table:
    """`arguments` are what the places of a group's list (%0, %1, or %... for all the rest) stand for."""
    scope = [name for word in (one.findtext("list") or "").split() for name in _put_in(word, arguments)]
    supports = one.findtext("supports")
    text = supports if supports is not None else one.findtext("conflicts") or ""
    rows: list[tuple[int, ...]]
    if len(scope) == 1:
        rows = [(value,) for value in _values(text)]
    else:
        rows = [_row(row.split(",")) for row in re.findall(r"\(([^)]*)\)", text)]
    return Table(tuple(scope), rows, supports is not None, one.attrib.get("id", ""))


def _put_in(word: str, arguments: list[str]) -> list[str]:
    if word == "%...":
        return arguments
    if not word.startswith("%"):
        return [word]
    place = word.removeprefix("%")
    if not place.isdigit() or int(place) >= len(arguments):
        raise NetworkError(f"a group's list has {word}, for which it has no argument")
    return [arguments[int(place)]]


def _row(words: list[str]) -> tuple[int, ...]:
    return tuple(_number(word) for word in words)


def _values(text: str) -> list[int]:
    """'0 1 3..5' as whole numbers."""
    found: list[int] = []
    for word in text.split():
        low, dots, high = word.partition("..")
        found += range(_number(low), _number(high) + 1) if dots else [_number(low)]
    return found


def _number(word: str) -> int:
    try:
        return int(word)
    except ValueError:
        raise NetworkError(f"{word!r} is no whole number; only tables of whole numbers are read") from None
