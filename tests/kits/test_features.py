"""A feature's value as a person reads it."""

import pytest

from kits.models import FeatureKind, PartFeature

LENGTH = FeatureKind(name="bore", quantity="length")
COUNT = FeatureKind(name="grooves", quantity="count")
FLOW = FeatureKind(name="flow", quantity="rating", unit="l/min")
PROFILE = FeatureKind(name="belt profile", quantity="text")


@pytest.mark.parametrize(
    ("feature", "said"),
    [
        (PartFeature(kind=LENGTH, lo=2_500_000, hi=2_502_100), "bore: 25.00 to 25.021 mm"),
        (PartFeature(kind=COUNT, lo=2, hi=2), "grooves: 2"),
        (PartFeature(kind=COUNT, lo=2, hi=10), "grooves: 2 to 10"),
        (PartFeature(kind=FLOW, lo=48_000, hi=48_000), "flow: 48 l/min"),
        (PartFeature(kind=FLOW, lo=47_500, hi=100_000), "flow: 47.5 to 100 l/min"),
        (PartFeature(kind=PROFILE, text="PK"), "belt profile: PK"),
        (PartFeature(kind=COUNT, source="unknown"), "grooves: unknown"),
    ],
)
def test_a_value_is_said_with_its_unit(feature: PartFeature, said: str) -> None:
    assert str(feature) == said
