"""Engines, parts and kit templates: read, searched, narrowed, paged."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from inventory.models import AlternateNumber, Supersession
from kits.models import Engine, EngineAttribute, EngineFeature, FeatureKind, PartFeature, TemplateRevision
from tests.shop.api.talking import Api, problem
from tests.shop.small import SmallShop

MM = 100_000  # In units of 10 nm.


def numbers(page: Any) -> list[str]:
    return [part["number"] for part in page["results"]]


@pytest.fixture
def older(small_shop: SmallShop) -> Engine:
    family = small_shop.engine.family
    return Engine.objects.create(
        family=family, code="T1", name="single", built_from=1978, built_to=1989, plate="red, cast T1 aft"
    )


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({}, ["T1", "T2"]),
        ({"code": "t2"}, ["T2"]),
        ({"plate": "CAST"}, ["T1"]),
        ({"year": "1985"}, ["T1"]),
        ({"year": "2020"}, ["T2"]),
        ({"year": "1989"}, ["T1"]),
        ({"search": "tarn single"}, ["T1"]),
        ({"search": "orrin"}, ["T1", "T2"]),
        ({"search": "nothing of the kind"}, []),
    ],
)
def test_engines_are_found_by_code_plate_year_and_words(
    older: Engine, api: Api, query: dict[str, str], found: list[str]
) -> None:
    page = api("counter").read("engines/", **query)
    assert [engine["code"] for engine in page["results"]] == found


def test_an_engine_shows_attributes_and_features_in_both_units(small_shop: SmallShop, api: Api) -> None:
    engine = small_shop.engine
    EngineAttribute.objects.create(engine=engine, name="keyway", value="no")
    nose = FeatureKind.objects.create(code="nose", name="crank nose diameter")
    EngineFeature.objects.create(
        engine=engine, kind=nose, lo=19 * MM + 5000, hi=19 * MM + 7000, source="measured"
    )
    shown = api("counter").read("engines/T2/")
    assert shown["attributes"] == [{"name": "keyway", "value": "no"}]
    assert shown["features"] == [
        {
            "kind": "nose",
            "name": "crank nose diameter",
            "quantity": "length",
            "source": "measured",
            "value": "19.05 to 19.07 mm (0.7500 to 0.7508 in)",
            "mm": ["19.05", "19.07"],
            "inch": ["0.7500", "0.7508"],
        }
    ]


@pytest.mark.parametrize(
    ("quantity", "unit", "values", "said"),
    [
        ("rating", "l/min", {"lo": 38_500, "hi": 38_500}, "38.5 l/min"),
        ("rating", "kW", {"lo": 1000, "hi": 2000}, "1 to 2 kW"),
        ("count", "", {"lo": 6, "hi": 6}, "6"),
        ("text", "", {"text": "M12x1.75"}, "M12x1.75"),
        ("length", "", {"source": "unknown"}, "unknown"),
    ],
)
def test_features_read_as_text(
    small_shop: SmallShop, api: Api, quantity: str, unit: str, values: dict[str, Any], said: str
) -> None:
    kind = FeatureKind.objects.create(code="k", name="k", quantity=quantity, unit=unit)
    PartFeature.objects.create(part=small_shop.pump, kind=kind, **{"source": "maker", **values})
    [feature] = api("counter").read(f"parts/{small_shop.pump.pk}/")["features"]
    assert (feature["value"], feature["mm"], feature["inch"]) == (said, None, None)


def test_an_engine_says_which_conversions_there_are(small_shop: SmallShop, older: Engine, api: Api) -> None:
    [there] = api("counter").read("engines/T2/conversions/")
    assert (there["template"], there["possible"], there["reason"]) == ("belt-pump", True, "")
    [not_there] = api("counter").read("engines/T1/conversions/")
    assert not not_there["possible"] and not_there["reason"] and not_there["instead"] is None


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({}, ["OR-40", "OR-7P", "OR-8B"]),
        ({"number": "or 40"}, ["OR-40"]),
        ({"number": "or4"}, []),
        ({"number": "5-001/77"}, ["OR-7P"]),
        ({"number": "--"}, []),
        ({"search": "or4"}, ["OR-40"]),
        ({"search": "5001"}, ["OR-7P"]),
        ({"search": "pul"}, ["OR-40"]),
        ({"maker": "orrin", "category": "drive"}, ["OR-40", "OR-7P", "OR-8B"]),
        ({"maker": "nobody"}, []),
        ({"standing": "ended"}, []),
    ],
)
def test_parts_are_found_by_any_of_their_numbers(
    small_shop: SmallShop, api: Api, query: dict[str, str], found: list[str]
) -> None:
    AlternateNumber.objects.create(part=small_shop.pump, number="5001 77", kind="earlier")
    assert numbers(api("floor").read("parts/", **query)) == found


def test_a_part_shows_its_price_as_text_and_what_supersedes_it(small_shop: SmallShop, api: Api) -> None:
    Supersession.objects.create(old=small_shop.pulley, new=small_shop.pump, since=date(2025, 3, 1))
    shown = api("counter").read(f"parts/{small_shop.pulley.pk}/")
    assert shown["price"] == "40.00"
    assert shown["superseded_by"]["part"]["number"] == "OR-7P"
    assert shown["superseded_by"]["since"] == "2025-03-01"
    assert api("counter").read(f"parts/{small_shop.pump.pk}/")["superseded_by"] is None


def test_a_template_shows_the_slots_of_its_released_revision(small_shop: SmallShop, api: Api) -> None:
    revision = small_shop.revision
    TemplateRevision.objects.create(template=revision.template, number=2)
    shown = api("counter").read("kit-templates/belt-pump/")["released"]
    assert (shown["number"], shown["engines"], shown["hours"]) == (1, ["T2"], "1.50")
    assert [slot["code"] for slot in shown["slots"]] == ["pulley", "pump", "bolts"]
    assert shown["slots"][2]["never_reuse"] == "They stretch once."


def test_a_template_without_a_released_revision_says_so(small_shop: SmallShop, api: Api) -> None:
    small_shop.template.revisions.update(state="withdrawn")
    assert api("counter").read("kit-templates/belt-pump/")["released"] is None
    assert api("counter").read("kit-templates/", engine="T2")["results"] == []


def test_templates_are_narrowed_to_an_engine(small_shop: SmallShop, older: Engine, api: Api) -> None:
    assert len(api("counter").read("kit-templates/", engine="T2")["results"]) == 1
    assert api("counter").read("kit-templates/", engine="T1")["results"] == []


@pytest.mark.parametrize(
    "query", [{"year": "soon"}, {"year": "1e99"}, {"code": "\x00"}, {"page_size": "x"}, {"page": "1"}]
)
def test_a_filter_that_makes_no_sense_is_named(small_shop: SmallShop, api: Api, query: Any) -> None:
    response = api("counter").get("engines/", **query)
    if {"page", "page_size"} & query.keys():
        assert response.status_code == 200
    else:
        assert problem(response, 400, "invalid")["errors"].keys() == query.keys()


def test_lists_come_in_pages(small_shop: SmallShop, api: Api) -> None:
    first = api("counter").read("parts/", page_size=2)
    assert (first["count"], len(first["results"]), first["previous"]) == (3, 2, None)
    assert "page=2" in first["next"]
    assert numbers(api("counter").read("parts/", page_size=2, page=2)) == ["OR-8B"]
    problem(api("counter").get("parts/", page=9), 404, "not-found")


@pytest.mark.parametrize(
    "path", ["engines/T9/", "engines/%00/", "parts/99/", "parts/x/", "kit-templates/none/"]
)
def test_what_is_not_there_is_not_found(small_shop: SmallShop, api: Api, path: str) -> None:
    problem(api("counter").get(path), 404, "not-found")
