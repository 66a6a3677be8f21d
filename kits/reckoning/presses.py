"""A press fit on a sheet: what the joint carries, what it does to the parts, and how it goes together."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from decimal import Decimal
from typing import Any, Final

from kits.fit import (
    Band,
    Finding,
    FitError,
    Length,
    Material,
    Measured,
    Press,
    Question,
    Term,
    ask,
    kind_of,
    material,
    press,
)
from kits.fit.length import ZERO
from kits.fit.press import ASSUMES as PRESS_ASSUMES
from kits.fit.press import Held, loss_by_roughness
from kits.fit.press_assembly import CAUTIONS, chilling_needed, heating_needed
from kits.fit.terms import Valued
from kits.reckoning.said import Said, say_band, say_celsius, say_length, say_percent, say_quantity
from kits.reckoning.sheet import CAUTION, Fact, Group, Sheet, Table
from kits.reckoning.sizes import read_pair

_PRESS: Final = kind_of("press")
_BEYOND: Final = Said("yields", None)


@dataclass(frozen=True, slots=True)
class Joint:
    """A hub and a shaft as typed; `settings` are those of the press check, by their codes.

    A solid shaft has a bore of zero; `roughness` is the Rz of the hub's bore and of the shaft.
    """

    bore_text: str
    shaft_text: str
    hub_outside: Band
    shaft_bore: Band
    length: Band
    hub_text: str
    shaft_material_text: str
    roughness: tuple[Length, Length] | None
    settings: tuple[tuple[str, str], ...]

    @property
    def given(self) -> dict[str, Any]:
        """Every setting's value."""
        return _PRESS.read_settings(dict(self.settings))

    @property
    def hub(self) -> Material:
        """With its own yield where that is given."""
        return _material(self.hub_text, self.given["hub-yield"])

    @property
    def shaft(self) -> Material:
        """With its own yield where that is given."""
        return _material(self.shaft_material_text, self.given["shaft-yield"])


def press_sheet(joint: Joint) -> Sheet:
    """The sheet of a press fit; parts that never press are refused."""
    bore, shaft, made = read_pair(joint.bore_text, joint.shaft_text)
    interference = -made.clearance
    if interference.hi <= ZERO:
        raise FitError(
            f"{joint.bore_text} and {joint.shaft_text} never press: the clearance is "
            f"{made.clearance.format()}; give a larger shaft, as in '60 s6', or a smaller bore"
        )
    found = press(
        interference,
        bore.lo,
        joint.hub_outside.lo,
        joint.shaft_bore.hi,
        joint.length.lo,
        joint.hub,
        joint.shaft,
        friction=joint.given["friction"],
        roughness_loss=loss_by_roughness(*joint.roughness) if joint.roughness else ZERO,
    )
    return Sheet(
        f"Press fit of {joint.hub.name} hub {joint.bore_text} on {joint.shaft.name} shaft {joint.shaft_text}",
        (_sizes(joint, bore, shaft, found), _held(found, joint), _assembly(interference.hi, bore.lo, joint)),
        _assumes(joint, bore.lo),
        _judged(joint, bore, shaft),
        (CAUTION, CAUTIONS),
    )


def _sizes(joint: Joint, bore: Band, shaft: Band, found: Press) -> Group:
    rough = [Fact("effective", "less roughness", say_band(found.effective))] if joint.roughness else []
    facts = (
        Fact("bore", "hub's bore", say_band(bore), joint.bore_text),
        Fact("shaft", "shaft", say_band(shaft), joint.shaft_text),
        Fact("interference", "interference", say_band(found.interference), "on the diameter"),
        *rough,
        Fact("elastic_limit", "elastic up to", say_length(found.elastic_limit, "down"), _yields(found)),
        Fact("hub_outside", "hub's outside", say_band(joint.hub_outside)),
        Fact("shaft_bore", "shaft's bore", _bore_said(joint.shaft_bore)),
        Fact("length", "engaged length", say_band(joint.length)),
        Fact("hub", "hub", _say_material(joint.hub), joint.hub.source),
        Fact("shaft_material", "shaft", _say_material(joint.shaft), joint.shaft.source),
    )
    return Group("joint", "The joint", facts)


def _yields(found: Press) -> str:
    return found.warning or f"beyond it the {found.weaker} yields first"


def _bore_said(bore: Band) -> Said:
    return Said("solid", say_band(bore).plain) if bore.hi == ZERO else say_band(bore)


def _material(name: str, own_yield: Decimal | None) -> Material:
    found = material(name)
    if own_yield is None:
        return found
    source = f"{found.source.partition(';')[0]}; yield as given"
    return replace(found, yield_mpa=float(own_yield), source=source)


def _say_material(of: Material) -> Said:
    text = (
        f"{of.name}: {of.young_gpa:g} GPa, Poisson {of.poisson:g}, yield {of.yield_mpa:g} MPa, expansion "
        f"{of.expansion_per_k * 1e6:g} um/m K"
    )
    return Said(text, asdict(of))


def _held(found: Press, joint: Joint) -> Table:
    """Each figure at the least and at the greatest interference; what is beyond yield has none."""
    least, most = found.least, found.most

    def row(code: str, name: str, figure: str, unit: str, up: bool = True) -> tuple[Said, ...]:
        cells = (_cell(held, figure, unit, up) for held in (least, most))
        return (Said(name, code), *cells)

    rows = [
        row("pressure", "pressure", "pressure_mpa", "MPa"),
        row("hub_hoop", "hub: hoop stress at its bore", "hub_bore.hoop_mpa", "MPa"),
        row("hub_share", "hub: share of its yield", "hub_share", "%"),
        row("shaft_hoop", "shaft: hoop stress at its surface", "shaft_surface.hoop_mpa", "MPa"),
        row("shaft_bore_hoop", "shaft: hoop stress at its bore or axis", "shaft_bore.hoop_mpa", "MPa"),
        row("shaft_share", "shaft: share of its yield", "shaft_share", "%"),
        row("axial", "axial force it holds", "axial_n", "N", False),
        row("torque", "torque it holds", "torque_nm", "Nm", False),
    ]
    if joint.given["torque"] or joint.given["force"]:
        used = (_load(held, joint) for held in (least, most))
        rows.append((Said("share of the grip that the load needs", "load_share"), *used))
    columns = (("figure", ""), ("least", "at the least interference"), ("most", "at the greatest"))
    return Table("held", "What the joint has", columns, tuple(rows))


def _cell(held: Held | None, figure: str, unit: str, up: bool) -> Said:
    if held is None:
        return _BEYOND
    value: object = held
    for name in figure.split("."):
        value = getattr(value, name)
    assert isinstance(value, float)
    if unit == "%":
        return say_percent(value, "up")
    # Away from zero where more is worse: a hoop stress below zero is pressed together.
    return say_quantity(value, unit, ("up" if value > 0 else "down") if up else "down")


def _load(held: Held | None, joint: Joint) -> Said:
    if held is None:
        return _BEYOND
    share = held.load_share(joint.given["torque"], joint.given["force"])
    return Said("slips", None) if share == float("inf") else say_percent(share, "up")


def _assembly(interference: Length, diameter: Length, joint: Joint) -> Group:
    """Heating the hub or chilling the shaft, one of them alone; what cannot be says why."""
    clearance, ambient = joint.given["clearance"], joint.given["ambient"]
    facts = [Fact("clearance", "clearance wanted then", say_length(clearance))]
    for code, name, needed, of in (
        ("heat_hub", "heat the hub to", heating_needed, joint.hub),
        ("chill_shaft", "or chill the shaft to", chilling_needed, joint.shaft),
    ):
        try:
            change = needed(interference, clearance, diameter, of.expansion_per_k, ambient_c=ambient)
        except FitError as error:
            facts.append(Fact(code, name, Said(str(error), None)))
            continue
        said = say_celsius(change.celsius, "up" if code == "heat_hub" else "down")
        note = f"{'up' if code == 'heat_hub' else 'down'} by {change.kelvin:.1f} K from {ambient} C"
        facts.append(Fact(code, name, Said(said.text, {**said.plain, "kelvin": change.kelvin}), note))
    return Group("assembly", "Putting it together, at the greatest interference", tuple(facts))


def _judged(joint: Joint, bore: Band, shaft: Band) -> Finding:
    """As a check in a kit would find it; the sheet has figures of its own."""
    values: list[tuple[str, Valued]] = [
        ("bore", bore),
        ("shaft", shaft),
        ("hub-outside", joint.hub_outside),
        ("length", joint.length),
        ("hub-material", joint.hub_text),
        ("shaft-material", joint.shaft_material_text),
    ]
    if joint.shaft_bore.hi > ZERO:
        values.append(("shaft-bore", joint.shaft_bore))
    if joint.roughness:
        surfaces = zip(("hub-roughness", "shaft-roughness"), joint.roughness, strict=True)
        values += [(role, Band.exactly(rz)) for role, rz in surfaces]
    sources = {"bore": joint.bore_text, "shaft": joint.shaft_text}
    terms = tuple(
        Term(
            _PRESS.role(role).sign,
            Measured("", _PRESS.role(role).name, value, sources.get(role, "as given")),
            role=role,
        )
        for role, value in values
    )
    question = Question(_PRESS, "press", "Clearance", terms, settings=joint.settings)
    return replace(ask(question)[0], figures=())


def _assumes(joint: Joint, diameter: Length) -> tuple[str, ...]:
    return (
        f"{PRESS_ASSUMES[0].upper()}{PRESS_ASSUMES[1:]}.",
        f"Friction {joint.given['friction']}; figures for a joint of {diameter.format()}, the smallest bore, "
        "with the smallest hub, length and wall.",
        "The verdict takes every size anywhere in its band.",
        "Materials as named above: typical figures unless given.",
        "Temperatures count the whole interference, and one part heated or chilled alone.",
    )
