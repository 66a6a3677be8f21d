"""A small made-up conversion: the Ombrel 3 marine diesel gets a belt-driven sea-water pump.

Figures are our own and chosen so that every situation is one swap away. The belt plane gap is engine
plane - pulley hub - spacer, wanted 0.30 to 0.60 mm; with the defaults it is 0.35 to 0.55 mm.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.utils import timezone

from inventory.models import Category, Maker, Part
from kits.fit import Band, Length
from kits.models import (
    Candidate,
    CandidatePart,
    Check,
    CheckTerm,
    Engine,
    EngineAttribute,
    EngineFamily,
    EngineFeature,
    FeatureKind,
    FittingStep,
    KitTemplate,
    PartFeature,
    Rule,
    RuleTerm,
    ShopWork,
    Slot,
    TemplateRevision,
)


def mm(text: str) -> int:
    """'0.30' as a stored length."""
    return Length.parse(f"{text} mm").units


def kind(code: str) -> FeatureKind:
    found, _ = FeatureKind.objects.get_or_create(code=code, defaults={"name": code.replace("-", " ")})
    return found


def category(code: str) -> Category:
    found, _ = Category.objects.get_or_create(code=code, defaults={"name": code})
    return found


def feature(size: str | None) -> dict[str, Any]:
    """Fields of a feature; None is unknown."""
    if size is None:
        return {"source": "unknown"}
    band = Band.parse(size)
    return {"lo": band.lo.units, "hi": band.hi.units, "source": "drawing"}


def part(number: str, of: str, price: str = "10.00", **sizes: str | None) -> Part:
    """A part of a category; sizes by feature code with underscores, None for unknown."""
    by, _ = Maker.objects.get_or_create(code="corran", defaults={"name": "Corran"})
    made = Part.objects.create(
        maker=by, number=number, name=of.replace("-", " "), category=category(of), price=Decimal(price)
    )
    for code, size in sizes.items():
        PartFeature.objects.create(part=made, kind=kind(code.replace("_", "-")), **feature(size))
    return made


def engine(code: str = "OM-3A", **sizes: str | None) -> Engine:
    family, _ = EngineFamily.objects.get_or_create(
        code="ombrel-3", defaults={"maker": "Ombrel", "name": "Ombrel 3"}
    )
    made = Engine.objects.create(family=family, code=code, name="three cylinders", built_from=1988)
    usual: dict[str, str | None] = {
        "plane": "43.60..43.70 mm",
        "nose": "25 g6",
        "old_boss": "79.0..79.1 mm",
        "bracket": "80.0..80.1 mm",
    }
    for name, size in (usual | sizes).items():
        EngineFeature.objects.create(engine=made, kind=kind(name.replace("_", "-")), **feature(size))
    EngineAttribute.objects.create(engine=made, name="housing", value="iron")
    return made


@dataclass
class Conversion:
    """The template in draft, with everything by its short name."""

    template: KitTemplate
    revision: TemplateRevision
    engine: Engine
    slots: dict[str, Slot] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)

    def slot(self, code: str, *defaults: str, **more: Any) -> Slot:
        made = Slot.objects.create(
            revision=self.revision, code=code, name=code, position=len(self.slots) + 1, **more
        )
        self.slots[code] = made
        for rank, number in enumerate(defaults, start=1):
            self.candidate(code, number, rank=rank, is_default=rank == 1)
        return made

    def candidate(self, slot: str, *numbers: str, quantity: int = 1, **more: Any) -> Candidate:
        made = Candidate.objects.create(slot=self.slots[slot], **more)
        for number in numbers:
            CandidatePart.objects.create(candidate=made, part=self.parts[number], quantity=quantity)
        return made

    def check(
        self, code: str, at_least: str | None, at_most: str | None, *terms: dict[str, Any], **more: Any
    ) -> Check:
        made = Check.objects.create(
            revision=self.revision,
            code=code,
            name=code,
            at_least=None if at_least is None else mm(at_least),
            at_most=None if at_most is None else mm(at_most),
            **{"kind": "chain", **more},
        )
        for sequence, fields in enumerate(terms, start=1):
            CheckTerm.objects.create(of=made, sequence=sequence, **fields)
        return made

    def term(self, sign: int, of: str | None, name: str, **more: Any) -> dict[str, Any]:
        """A term on a slot (or the engine, with None)."""
        return {"sign": sign, "slot": self.slots[of] if of else None, "feature": kind(name), **more}

    def rule(self, code: str, sort: str, *terms: dict[str, Any], **more: Any) -> Rule:
        made = Rule.objects.create(
            revision=self.revision, code=code, kind=sort, **{"text": f"{code} says why.", **more}
        )
        for fields in terms:
            RuleTerm.objects.create(rule=made, **fields)
        return made

    def key(self, *numbers: str) -> str:
        return "parts:" + "+".join(str(pk) for pk in sorted(self.parts[number].pk for number in numbers))

    def released(self) -> Conversion:
        """Release without the act, for tests that are not about releasing."""
        TemplateRevision.objects.filter(pk=self.revision.pk).update(
            state=TemplateRevision.State.RELEASED, released_at=timezone.now()
        )
        self.revision.refresh_from_db()
        return self


PARTS: tuple[tuple[str, str, str, dict[str, str | None]], ...] = (
    ("CP-104", "pulley", "60.00", {"hub": "40.00..40.05 mm", "bore": "25 H7", "web": "14.0..14.1 mm"}),
    # Wants its hub faced by up to 0.34 mm: goes with work.
    ("CP-120", "pulley", "55.00", {"hub": "40.40..40.42 mm", "bore": "25 H7", "web": "14.0..14.1 mm"}),
    # A thinner spacer makes it right: 2.10 to 2.25 mm.
    ("CP-141", "pulley", "70.00", {"hub": "41.00..41.05 mm", "bore": "25 H7", "web": "14.0..14.1 mm"}),
    ("CP-150", "pulley", "40.00", {"hub": None, "bore": "25 H7", "web": "14.0..14.1 mm"}),
    ("CS-32", "spacer", "4.00", {"thick": "3.15..3.20 mm"}),
    ("CS-22", "spacer", "4.50", {"thick": "2.15..2.20 mm"}),
    ("CB-30", "bolt", "1.50", {"length": "29.8..30.0 mm"}),
    ("CB-35", "bolt", "1.75", {"length": "34.8..35.0 mm"}),
    ("CW-7", "pump", "310.00", {"boss": "79.2..79.3 mm"}),
    ("CG-2", "guard", "25.00", {}),
)


def belt_pump() -> Conversion:
    """The whole conversion, in draft."""
    template = KitTemplate.objects.create(code="belt-pump", name="Belt pump", purpose="Gear to belt drive.")
    revision = TemplateRevision.objects.create(template=template, number=1)
    made = Conversion(template, revision, engine())
    revision.engines.add(made.engine)
    for number, of, price, sizes in PARTS:
        made.parts[number] = part(number, of, price, **sizes)
    made.slot("pulley", "CP-104", "CP-120", "CP-141", "CP-150")
    made.slot("spacer", "CS-32", "CS-22")
    made.slot("bolt", "CB-30", "CB-35", quantity=6, never_reuse="they stretch when tightened")
    made.slot("pump", "CW-7", own_allowed=True, reuse_allowed=True)
    made.slot("guard", "CG-2", required=False)
    _add_checks(made)
    ShopWork.objects.create(
        code="face-hub", name="Face the hub", category=category("pulley"), feature=kind("hub"), lowers=True,
        most=mm("0.40"), keeps=mm("0.02"), price=Decimal("45.00"), minutes=30, done_by="own bench",
    )  # fmt: skip
    FittingStep.objects.create(revision=revision, sequence=1, slot=made.slots["pulley"], text="Push it on.")
    FittingStep.objects.create(
        revision=revision, sequence=2, slot=made.slots["bolt"], text="Tighten crosswise.",
        torque_nm=Decimal("25.0"), torque_source="Corran sheet 12",
    )  # fmt: skip
    FittingStep.objects.create(revision=revision, sequence=3, slot=made.slots["guard"], text="Fit the guard.")
    FittingStep.objects.create(revision=revision, sequence=4, text="Run the engine and look for leaks.")
    return made


def _add_checks(made: Conversion) -> None:
    made.check(
        "belt-plane", "0.30", "0.60",
        made.term(1, None, "plane"), made.term(-1, "pulley", "hub"), made.term(-1, "spacer", "thick"),
        open_slot=made.slots["spacer"], caution="Turn the engine by hand before starting it.",
    )  # fmt: skip
    made.check(
        "nose-fit", "0", "0.05",
        made.term(1, "pulley", "bore", role="bore"), made.term(-1, None, "nose", role="shaft"), kind="pair",
    )  # fmt: skip
    made.check(
        "thread", "10", "15",
        made.term(1, "bolt", "length"), made.term(-1, "spacer", "thick"), made.term(-1, "pulley", "web"),
    )  # fmt: skip
    made.check(
        "boss-gap", "0.5", None,
        made.term(1, None, "bracket"), made.term(-1, "pump", "boss", reused=kind("old-boss")),
    )  # fmt: skip
