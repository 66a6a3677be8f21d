"""Press and shrink fits against published methods, recomputed a second way.

Budynas & Nisbett, Shigley's Mechanical Engineering Design, sections 3-16 and 7-8, publishes the
press-fit equations (their numbers vary by edition); cited from memory. The inputs here are our own
unless said otherwise. The expected values were computed outside this code, once by the closed form
and once by solving u = A r + B / r for both bodies as a boundary-value problem, equal to 1e-9.
They are held to 0.1 %, temperatures to 0.1 K.
"""

from math import pi
from typing import Any

import pytest

from kits.fit.band import Band
from kits.fit.fits import limits, pair
from kits.fit.length import ZERO, Length
from kits.fit.materials import Material
from kits.fit.press import Held, Press, loss_by_roughness, press
from kits.fit.press_assembly import chilling_needed, gained_by_chilling, heating_needed
from kits.fit.press_limits import interference_limits

UM = Length.parse("1 um")


def mm(text: str) -> Length:
    return Length.from_mm(text)


def made(young_gpa: float, poisson: float) -> Material:
    """A material with the modulus and ratio of a case; it is far from its yield there."""
    return Material("as given", young_gpa, poisson, 11.7e-6, 1000, "the case")


STEEL = made(207, 0.292)
HUB_50 = (mm("50"), mm("100"), ZERO, mm("60"), STEEL, STEEL)


def both_ends(fit: Press) -> tuple[Held, Held]:
    assert fit.least is not None and fit.most is not None
    return fit.least, fit.most


def close(value: float) -> Any:
    return pytest.approx(value, rel=1e-3)


def test_a_steel_hub_on_a_solid_steel_shaft() -> None:
    """Shigley's equations, own numbers."""
    held, _ = both_ends(press(Band.exactly(50 * UM), *HUB_50))
    assert held.pressure_mpa == close(77.625)
    assert held.hub_bore.hoop_mpa == close(129.375)
    assert held.shaft_surface.hoop_mpa == close(-77.625)


def test_60_h7_s6_gives_its_pressures() -> None:
    """ISO 286-2 limits (recalled, agree with pressfit 0.1.0), then Shigley's equations, own numbers."""
    nominal = mm("60")
    fit = pair(limits(nominal, "H7") + nominal, limits(nominal, "s6") + nominal)
    assert -fit.clearance == Band(23 * UM, 72 * UM)
    least, most = both_ends(press(-fit.clearance, nominal, mm("110"), ZERO, mm("60"), STEEL, STEEL))
    assert (least.pressure_mpa, most.pressure_mpa) == (close(27.871), close(87.248))
    assert (least.hub_bore.hoop_mpa, most.hub_bore.hoop_mpa) == (close(51.479), close(161.152))


def test_an_aluminium_hub_on_a_hollow_steel_shaft() -> None:
    """Shigley's equations, own numbers."""
    sizes = (mm("40"), mm("70"), mm("20"), mm("40"))
    held, _ = both_ends(press(Band.exactly(30 * UM), *sizes, made(71, 0.334), STEEL))
    assert held.pressure_mpa == close(19.188)
    assert held.hub_bore.hoop_mpa == close(37.794)
    assert held.shaft_surface.hoop_mpa == close(-31.980)
    assert held.shaft_bore.hoop_mpa == close(-51.167)


def test_the_temperature_of_the_hub_to_shrink_it_on() -> None:
    """Common practice: (interference + clearance) / (expansion x diameter), own numbers.

    The expansion of carbon steel as in Shigley's appendix; recalled.
    """
    change = heating_needed(60 * UM, 50 * UM, mm("50"), 11.7e-6, ambient_c=20)
    assert change.kelvin == pytest.approx(188.03, abs=0.1)
    assert change.celsius == pytest.approx(208.03, abs=0.1)


def test_chilling_follows_the_same_rule() -> None:
    """Common practice, no source; own numbers: 0.06 mm / (11.7e-6 x 50 mm) = 102.56 K."""
    change = chilling_needed(40 * UM, 20 * UM, mm("50"), 11.7e-6)
    assert change.kelvin == pytest.approx(102.56, abs=0.1)
    assert change.celsius == pytest.approx(-82.56, abs=0.1)
    # Of the 188.03 K above, 98 K of chilling (to -78 C) leave 90.03 K to heat the hub by.
    gained = gained_by_chilling(mm("50"), 11.7e-6, -78)
    both = heating_needed(60 * UM, 50 * UM, mm("50"), 11.7e-6, gained=gained)
    assert both.kelvin == pytest.approx(90.03, abs=0.1)


def test_the_force_and_torque_that_a_joint_holds() -> None:
    """Shigley: F = pi d L p f and T = pi / 2 f p L d^2, own numbers."""
    held, _ = both_ends(press(Band.exactly(50 * UM), *HUB_50, friction=0.12))
    assert (held.axial_n, held.torque_nm) == (close(87791.8), close(2194.795))


def test_a_cast_iron_disc_on_a_hollow_steel_shaft() -> None:
    """A data set of university lecture slides, as in Ugural, Mechanical Design.

    The inputs were seen in a stored page (radii 25, 50 and 125 mm, 30 MPa of hoop stress allowed),
    the printed answer was not; it is recomputed.
    """
    sizes = (mm("100"), mm("250"), mm("50"), mm("100"))
    iron, steel = made(70, 0.25), made(210, 0.3)
    held, _ = both_ends(press(Band.exactly(mm("0.06475")), *sizes, iron, steel, friction=0.15))
    assert held.hub_bore.hoop_mpa == close(30)
    assert held.pressure_mpa == close(21.724)
    assert (held.axial_n, held.torque_nm) == (close(102_370), close(5119))
    diameter, outside, bore, length = (Band.exactly(size) for size in sizes)
    loads: tuple[dict[str, Any], ...] = ({"axial_n": 102_370}, {"torque_nm": 5119})
    for load in loads:
        strict = interference_limits(
            diameter, outside, bore, length, iron, steel, friction=0.15, **load
        ).strict
        assert strict is not None
        assert float(strict.lo.mm) == close(0.06475)


def test_the_hub_yields_by_its_distortion_energy() -> None:
    """Maximum distortion energy in plane stress (Shigley, chapter 5; recalled), own numbers.

    For a wall of twice the bore the hoop stress is 5/3 p, so the equivalent one is 7/3 p: all in
    units of p, sqrt(1 + 5/3 + 25/9) = 2.3333; by maximum shear it is 8/3 p.
    """
    held, _ = both_ends(press(Band.exactly(50 * UM), *HUB_50))
    assert held.hub_bore.von_mises_mpa == close(7 / 3 * 77.625)
    assert held.hub_bore.tresca_mpa == close(8 / 3 * 77.625)


def test_the_loss_by_roughness() -> None:
    """DIN 7190: U_w = U - 0.8 (Rz of hub + Rz of shaft); from memory, text not seen."""
    assert loss_by_roughness(mm("0.0063"), mm("0.004")) == mm("0.00824")


def test_a_thin_ring_follows_the_boiler_formula() -> None:
    """Hoop stress of a thin wall: p r / t, the mean over the wall; textbook formula, from memory."""
    inner, outer = mm("100"), mm("101")
    held, _ = both_ends(press(Band.exactly(10 * UM), inner, outer, ZERO, mm("10"), STEEL, STEEL))
    mean = (held.hub_bore.hoop_mpa + held.hub_outside.hoop_mpa) / 2
    assert mean == pytest.approx(held.pressure_mpa * 50 / 0.5, rel=0.001)
    assert held.axial_n == close(pi * 100 * 10 * held.pressure_mpa * 0.1)
