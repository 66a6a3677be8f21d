"""A size that crosses a limit by 10 nm changes the verdict, and changes it back on the way back.

The limit is worked out here in whole units of 10 nm; everything goes through the database.
"""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User

from inventory.models import Part
from kits.customising import open_kit, swap
from kits.fit import Finding, Length, Verdict
from kits.judging import judge_kit
from kits.models import CustomKit, Engine, Fill, KitTemplate, PartFeature
from tests.clerks import Clerk
from tests.shop.demo.benching import finding

pytestmark = pytest.mark.usefixtures("shop")

GOES = Verdict.GOES_TOGETHER
BELT, RAW, DRIVE = "belt-front", "raw-water-aside", "flexible-drive"
LEAST, MOST = "least", "most"
Opened = Callable[[str, str], CustomKit]


@pytest.fixture
def opened(clerk: Clerk) -> Opened:
    """A standard kit of a template on an engine."""

    def kit_on(template: str, engine: str) -> CustomKit:
        counter = clerk("counter")
        return open_kit(counter, KitTemplate.objects.get(code=template), Engine.objects.get(code=engine))

    return kit_on


def part_in(kit: CustomKit, slot: str) -> Part:
    return Fill.objects.get(kit=kit, slot__code=slot).parts.get().part


def sized(part: Part, feature: str, units: int) -> None:
    """Give a part a feature that does not vary, as the catalogue desk would."""
    row = PartFeature.objects.get(part=part, kind__code=feature)
    row.lo = row.hi = units
    row.save()


def copied(part: Part, number: str, feature: str, units: int) -> Part:
    """Another part just like it, but for its number and one size."""
    features = list(part.features.all())
    copy = Part.objects.create(
        maker=part.maker, number=number, name=number, category=part.category, price=part.price
    )
    for row in features:
        row.pk, row.part = None, copy
        row._state.adding = True
        row.save()
    sized(copy, feature, units)
    return copy


def limit(found: Finding, name: str, side: str) -> tuple[int, int]:
    """The size of one term at which the worst case lies on the limit, and the next one beyond it.

    The name is the end of the term's label: what it is a feature of, and the feature.
    """
    (term,) = (term for term in found.terms if term.measured.label.endswith(name))
    assert found.wanted is not None
    low = high = 0
    for other in found.terms:
        if other is term:
            continue
        band, factor = other.measured.band, int(other.factor)
        assert band is not None and factor == other.factor
        ends = [other.sign * factor * end.units for end in (band.lo, band.hi)]
        low, high = low + min(ends), high + max(ends)
    wanted = found.wanted.at_least if side == LEAST else found.wanted.at_most
    assert isinstance(wanted, Length)
    assert term.factor == 1
    at = term.sign * (wanted.units - (low if side == LEAST else high))
    outwards = -term.sign if side == LEAST else term.sign
    return at, at + outwards


@pytest.mark.parametrize("side", [LEAST, MOST])
@pytest.mark.parametrize(
    ("template", "engine", "slot", "code"),
    [
        (BELT, "HED-11", "spacer", "nose-gap"),
        (BELT, "HED-13", "spacer", "nose-gap"),
        (RAW, "BOD-22", "shim", "drive-gap"),
        (DRIVE, "FET-30", "thrust-spacer", "end-float"),
    ],
)
def test_a_copy_that_is_10_nm_beyond_the_limit_does_not_pass(
    opened: Opened, clerk: Clerk, template: str, engine: str, slot: str, code: str, side: str
) -> None:
    kit, counter = opened(template, engine), clerk("counter")
    standard = part_in(kit, slot)
    at, beyond = limit(finding(judge_kit(kit), code), f"{standard.number} thickness", side)
    good, bad = copied(standard, "AT", "thickness", at), copied(standard, "BEYOND", "thickness", beyond)
    assert abs(at - beyond) == 1
    for part, verdict in ((good, GOES), (bad, Verdict.MEASURE_FIRST), (good, GOES)):
        _swap_to(counter, kit, slot, part)
        judgement = judge_kit(kit)
        assert finding(judgement, code).verdict is verdict
        assert judgement.verdict is verdict


def _swap_to(counter: User, kit: CustomKit, slot: str, part: Part) -> None:
    swap(counter, kit, slot, f"parts:{part.pk}")


@pytest.mark.parametrize(
    ("template", "engine", "slot", "feature", "code", "side"),
    [
        (BELT, "HED-11", "crank-pulley", "bore-diameter", "pulley-on-nose", LEAST),
        (BELT, "HED-11", "crank-pulley", "bore-diameter", "pulley-on-nose", MOST),
        (BELT, "BOD-22", "crank-pulley", "hub-length", "nose-gap", LEAST),
        (BELT, "BOD-22", "crank-pulley", "hub-length", "nose-gap", MOST),
        (BELT, "HED-11", "nose-bolt", "bolt-length", "nose-bolt.engaged", LEAST),
        (BELT, "HED-11", "nose-bolt", "bolt-length", "nose-bolt.room", LEAST),
        (BELT, "BOD-23", "key", "key-width", "crank-key.width-shaft", LEAST),
        (BELT, "BOD-23", "key", "key-width", "crank-key.width-hub", MOST),
        (BELT, "HED-13", "adaptor", "register-diameter", "adaptor-register", LEAST),
        (BELT, "HED-13", "adaptor", "register-diameter", "adaptor-register", MOST),
        (BELT, "HED-13", "adaptor", "register-length", "register-depth", LEAST),
        (BELT, "HED-12", "pump-pulley", "groove-offset", "pulleys-in-line", LEAST),
        (BELT, "HED-12", "pump-pulley", "groove-offset", "pulleys-in-line", MOST),
        (BELT, "BOD-20", "pump-pulley", "bore-diameter", "pump-pulley-press", LEAST),
        (BELT, "BOD-20", "pump-pulley", "bore-diameter", "pump-pulley-press", MOST),
        (BELT, "BOD-21", "pump-bolts", "bolt-length", "pump-bolts.engaged", LEAST),
        (BELT, "BOD-22", "pump-bolts", "bolt-length", "pump-bolts.engaged", LEAST),
        (BELT, "BOD-22", "pump-bolts", "bolt-length", "pump-bolts.room", LEAST),
        (BELT, "BOD-24", "belt", "belt-length", "belt-reach", LEAST),
        (BELT, "BOD-24", "belt", "belt-length", "belt-reach", MOST),
        (RAW, "HED-10", "raw-pump", "spigot-diameter", "spigot", LEAST),
        (RAW, "HED-10", "raw-pump", "spigot-diameter", "spigot", MOST),
        (RAW, "HED-10", "bracket", "mounting-depth", "drive-gap", LEAST),
        (RAW, "HED-13", "bracket-bolts", "bolt-length", "bracket-bolts.engaged", LEAST),
        (RAW, "HED-13", "bracket-bolts", "bolt-length", "bracket-bolts.room", LEAST),
        (DRIVE, "FET-30", "drive-plate", "register-diameter", "plate-pilot", LEAST),
        (DRIVE, "FET-30", "drive-plate", "hole-diameter", "flange-bolts.room-inwards", LEAST),
        (DRIVE, "FET-30", "coupling-bolts", "bolt-diameter", "flange-bolts.bolt", LEAST),
        (DRIVE, "BOD-20", "hub", "bore-diameter", "hub-press", LEAST),
        (DRIVE, "BOD-20", "hub", "bore-diameter", "hub-press", MOST),
        (DRIVE, "BOD-20", "hub", "hub-length", "end-float", MOST),
        (DRIVE, "FET-31", "coupling-bolts", "bolt-length", "coupling-bolts.engaged", LEAST),
        (DRIVE, "FET-31", "coupling-bolts", "bolt-length", "coupling-bolts.room", LEAST),
    ],
)
def test_a_part_that_is_changed_by_10_nm_across_a_limit_no_longer_passes(
    opened: Opened, template: str, engine: str, slot: str, feature: str, code: str, side: str
) -> None:
    kit = opened(template, engine)
    part = part_in(kit, slot)
    name = PartFeature.objects.get(part=part, kind__code=feature).kind.name
    at, beyond = limit(finding(judge_kit(kit), code), f"{part.number} {name}", side)
    assert abs(at - beyond) == 1
    for units, goes in ((at, True), (beyond, False), (at, True)):
        sized(part, feature, units)
        judgement = judge_kit(kit)
        assert (finding(judgement, code).verdict is GOES) is goes
        assert goes or judgement.verdict is not GOES


@pytest.mark.parametrize(
    ("template", "engine", "slot", "feature", "code", "at", "beyond"),
    [
        (BELT, "HED-11", "belt", "power-rating", "belt-power", 1_200, 1_199),
        (BELT, "HED-11", "pump", "power", "belt-power", 1_666, 1_667),
        (BELT, "HED-11", "pump", "flow", "pump-flow", 30_000, 29_999),
        (BELT, "HED-11", "belt", "grooves", "belt-grooves", 2, 3),
        (BELT, "HED-11", "crank-pulley", "keyways", "crank-key.number", 1, 2),
        (RAW, "BOD-22", "raw-pump", "flow", "raw-flow", 20_900, 20_899),
        (DRIVE, "FET-30", "element", "torque-rating", "coupling-torque", 175_000, 174_999),
        (DRIVE, "FET-30", "drive-plate", "bolt-holes", "flange-bolts.number", 6, 5),
    ],
)
def test_a_count_or_a_rating_that_is_changed_by_its_least_step_does_not_go(
    opened: Opened, template: str, engine: str, slot: str, feature: str, code: str, at: int, beyond: int
) -> None:
    """Ratings are stored in thousandths of their unit, counts as they are."""
    kit = opened(template, engine)
    part = part_in(kit, slot)
    for units, verdict in ((at, GOES), (beyond, Verdict.DOES_NOT_GO), (at, GOES)):
        sized(part, feature, units)
        judgement = judge_kit(kit)
        assert finding(judgement, code).verdict is verdict
        assert judgement.verdict is verdict
