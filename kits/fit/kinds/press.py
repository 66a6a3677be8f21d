"""A press fit: the interference carries its load and does not overstress the hub or the shaft."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from math import ceil, floor
from typing import Final

from kits.fit.band import Band
from kits.fit.errors import FitError
from kits.fit.finding_out import found_out
from kits.fit.findings import Figure, Finding
from kits.fit.length import UNITS_PER_MM, ZERO, Length
from kits.fit.materials import Material, material
from kits.fit.press import ASSUMES, FRICTION, loss_by_roughness, press
from kits.fit.press_assembly import CAUTIONS, heating_needed
from kits.fit.press_limits import InterferenceLimits, interference_limits
from kits.fit.questions import Kind, Question, Role, Setting
from kits.fit.stating import number_setting, stated
from kits.fit.terms import Term, Wanted
from kits.fit.verdict import Verdict
from kits.fit.verdicts import judge

_UM: Final = UNITS_PER_MM // 1000
_LAME: Final = "Lamé, thick rings"


def _judge(question: Question) -> Iterator[Finding]:
    joint = [term for role in _OTHERS for term in question.of(role)]
    pair = question.chain("bore", "shaft")
    if unknown := [term for term in joint if _blank(term)]:
        yield found_out(question, "", [*unknown, *(t for t in pair if _blank(t))])
        return
    if any(term.measured.band is None for term in pair):
        yield found_out(question, "", [term for term in pair if _blank(term)])
        return
    try:
        limits = _limits(question)
    except FitError as error:  # Sizes that contradict each other: one of them is not what it says.
        yield found_out(question, "", (*pair, *joint), str(error))
        return
    yield _within(question, limits)


def _within(question: Question, limits: InterferenceLimits) -> Finding:
    pair = question.chain("bore", "shaft")
    figures = (*_figures(question), *_said(limits))
    if limits.lenient is None:
        verdict = Verdict.DOES_NOT_GO
        why = (
            f"{question.title}: no interference both carries {_load(question)} and stays within "
            f"{_percent(question)} of the yield. A longer or thicker hub, or a stronger material, would have "
            "to be used."
        )
        return stated(question, "", verdict, why, pair, figures=figures)
    if limits.strict is None:
        why = "no interference is right for all that its sizes may be"
        terms = [t for t in question.terms if t.measured.band and t.measured.band.width > ZERO]
        return replace(found_out(question, "", terms, why), figures=figures)
    finding = judge(question.code, question.title, pair, _wanted(limits.strict), _wanted(limits.lenient))
    return replace(
        finding, reason=f"{_fault(question, finding)}{finding.reason} {_why(question)}", figures=figures
    )


def _fault(question: Question, finding: Finding) -> str:
    """What goes wrong, in the words of the trade, before the figures."""
    if finding.verdict is not Verdict.DOES_NOT_GO or finding.result is None or finding.wanted is None:
        return ""
    least = finding.wanted.at_least
    if least is not None and finding.result.hi < least:
        return f"Too tight: pressed on, it is stressed beyond {_percent(question)} of the yield. "
    loaded = question.given["torque"] or question.given["force"]
    return f"Too loose: it slips under {_load(question)}. " if loaded else "Too loose: it does not grip. "


def _wanted(interference: Band) -> Wanted:
    """As clearance, which is below zero where there is interference."""
    return Wanted(-interference.hi, -interference.lo)


def _limits(question: Question) -> InterferenceLimits:
    given = question.given
    exact = interference_limits(
        _band(question, "shaft"),
        _band(question, "hub-outside"),
        _band(question, "shaft-bore"),
        _band(question, "length"),
        _material(question, "hub-material"),
        _material(question, "shaft-material"),
        torque_nm=given["torque"],
        axial_n=given["force"],
        of_yield=given["of-yield"] / 100,
        friction=given["friction"],
        roughness_loss=_loss(question),
    )
    return InterferenceLimits(_to_um(exact.strict, inwards=True), _to_um(exact.lenient, inwards=False))


def _to_um(band: Band | None, inwards: bool) -> Band | None:
    """To whole micrometres, since friction and yield are not known to any better."""
    if band is None:
        return None
    low, high = (ceil, floor) if inwards else (floor, ceil)
    lo, hi = (Length(to(Fraction(end.units, _UM)) * _UM) for to, end in ((low, band.lo), (high, band.hi)))
    return Band(lo, hi) if lo <= hi else None


def _figures(question: Question) -> tuple[Figure, ...]:
    """Pressure, stress, grip and the heat to assemble, at the middle of the other sizes."""
    sizes = [_middle(_band(question, role)) for role in ("shaft", "hub-outside", "shaft-bore", "length")]
    hub, shaft = (_material(question, role) for role in ("hub-material", "shaft-material"))
    bore = _band(question, "bore")
    joint = press(
        _band(question, "shaft") - bore,
        sizes[0],
        sizes[1],
        sizes[2],
        sizes[3],
        hub,
        shaft,
        friction=question.given["friction"],
        roughness_loss=_loss(question),
    )
    said = [
        Figure(term.measured.label, term.measured.said, term.measured.source)
        for role in _OTHERS
        for term in question.of(role)
    ]
    for name, held in (("least", joint.least), ("greatest", joint.most)):
        if held is not None:
            said += [
                Figure(f"pressure at the {name} interference", f"{held.pressure_mpa:.1f} MPa", _LAME),
                Figure(f"share of yield used at the {name}", f"{held.share:.0%}", "von Mises at the bores"),
                Figure(f"torque carried at the {name}", f"{held.torque_nm:.1f} Nm", "pressure and friction"),
                Figure(
                    f"axial force carried at the {name}", f"{held.axial_n:.0f} N", "pressure and friction"
                ),
            ]
    if joint.warning:
        said.append(Figure("caution", joint.warning, _LAME))
    return (*said, *_heat(question, joint.interference, sizes[0], hub), Figure("assumes", ASSUMES, _LAME))


def _heat(question: Question, interference: Band, size: Length, hub: Material) -> Iterator[Figure]:
    """How hot the hub must be to go on, if it is to be shrunk on."""
    given = question.given
    if interference.hi <= ZERO:
        return
    try:
        change = heating_needed(
            interference.hi, given["clearance"], size, hub.expansion_per_k, ambient_c=given["ambient"]
        )
    except FitError:
        return
    hot = f"{change.celsius:.0f} °C, {change.kelvin:.0f} K above what is around it"
    yield Figure("hub to be heated to", hot, f"{hub.name} {hub.expansion_per_k:g} per K; {hub.source}")
    yield Figure("caution", CAUTIONS, "common practice, no source")


def _said(limits: InterferenceLimits) -> Iterator[Figure]:
    for name, band in (("right for sure", limits.strict), ("possibly right", limits.lenient)):
        said = "none" if band is None else band.format(rounding="in" if band is limits.strict else "out")
        yield Figure(f"interference that is {name}", said, _LAME)


def _why(question: Question) -> str:
    return (
        f"Below zero is interference: it carries {_load(question)} and stays within {_percent(question)} of "
        "the yield."
    )


def _load(question: Question) -> str:
    given = question.given
    loads = [f"{given['torque']:f} Nm"] if given["torque"] else []
    loads += [f"{given['force']:f} N along the shaft"] if given["force"] else []
    return " and ".join(loads) or "no stated load"


def _percent(question: Question) -> str:
    return f"{question.given['of-yield']:f} %"


def _loss(question: Question) -> Length:
    """What the roughness of both surfaces takes off, at its highest."""
    hub, shaft = (_band(question, role).hi for role in ("hub-roughness", "shaft-roughness"))
    return loss_by_roughness(hub, shaft)


def _band(question: Question, role: str) -> Band:
    """The band in a role; zero where it is not declared: a solid shaft, a smooth surface."""
    term = question.maybe(role)
    band = Band.exactly(ZERO) if term is None else term.measured.band
    assert band is not None  # What is unknown was found out before.
    return band * term.factor if term is not None and term.factor != 1 else band


def _middle(band: Band) -> Length:
    return Length(int(band.middle))


def _material(question: Question, role: str) -> Material:
    value = question.one(role).measured.value
    assert isinstance(value, str)
    found = material(value)
    stated_yield = question.given["hub-yield" if role == "hub-material" else "shaft-yield"]
    return (
        found if stated_yield is None else replace(found, yield_mpa=float(stated_yield), source="as stated")
    )


def _blank(term: Term) -> bool:
    """Whether it is unknown, or is a material that no figures are known for."""
    if not isinstance(term.measured.value, str):
        return term.measured.value is None
    try:
        material(term.measured.value)
    except FitError:
        return True
    return False


_OTHERS: Final = (
    "hub-outside",
    "shaft-bore",
    "length",
    "hub-material",
    "shaft-material",
    "hub-roughness",
    "shaft-roughness",
)
_MPA: Final = number_setting("1", "10000", "MPa")
_MATERIAL_HOW: Final = "look it up, or try it with a magnet and a file"

PRESS: Final = Kind(
    code="press",
    name="press fit",
    about=(
        "Bore less shaft, below zero, is interference: enough to carry the torque and force by friction, not "
        "so much that the hub or shaft comes near its yield. Elastic thick rings; at rest."
    ),
    roles=(
        Role("bore", "bore of the hub", tool="bore"),
        Role("shaft", "shaft", sign=-1),
        Role("hub-outside", "outside diameter of the hub"),
        Role("shaft-bore", "bore of a hollow shaft", least=0, tool="bore"),
        Role("length", "length engaged"),
        Role("hub-material", "material of the hub", "text", how=_MATERIAL_HOW),
        Role("shaft-material", "material of the shaft", "text", how=_MATERIAL_HOW),
        Role("hub-roughness", "roughness Rz of the bore", least=0),
        Role("shaft-roughness", "roughness Rz of the shaft", least=0),
    ),
    judge=_judge,
    settings=(
        Setting("torque", "torque to carry, in Nm", number_setting("0", "1000000", "Nm"), "0"),
        Setting("force", "force along the shaft to carry, in N", number_setting("0", "100000000", "N"), "0"),
        Setting("of-yield", "share of the yield allowed, in per cent", number_setting("1", "100", "%"), "80"),
        Setting(
            "friction",
            "friction of the joint",
            number_setting("0.001", "1", "of the pressure"),
            str(FRICTION),
        ),
        Setting("hub-yield", "yield of the hub, in MPa", _MPA, optional=True),
        Setting("shaft-yield", "yield of the shaft, in MPa", _MPA, optional=True),
        Setting("clearance", "clearance wanted when it is shrunk on", Length.parse, "0.05 mm"),
        Setting("ambient", "temperature around it, in °C", number_setting("-40", "60", "°C"), "20"),
    ),
)
