import subprocess
import sys
from fractions import Fraction
from math import pi, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit.errors import FitError
from kits.fit.length import Length
from kits.fit.thread_limits import external_limits, internal_limits
from kits.fit.thread_tables import METRIC_SIZES, UNIFIED_SIZES
from kits.fit.threads import Thread, every_thread, mismatch, thread

EVERY = every_thread()
CLASSES = {
    "ISO metric": ("", "6g", "5g6g", "6e", "4h", "6H", "4H5H", "6G"),
    "unified inch": ("", "1A", "2A", "3B"),
}
NONSENSE: tuple[Any, ...] = (object(), 1.5, True, b"M12", None, [object()], {"M12": 1}, 12)


@st.composite
def threads(draw: st.DrawFn) -> Thread:
    plain = draw(st.sampled_from(EVERY))
    tolerance = draw(st.sampled_from(CLASSES[plain.system]))
    hand = draw(st.sampled_from(("", " LH")))
    return thread(f"{plain}{'-' * bool(tolerance)}{tolerance}{hand}")


@pytest.mark.parametrize(
    ("text", "designation", "series", "major", "pitch_mm"),
    [
        ("M12", "M12x1.75", "coarse", "12 mm", Fraction("1.75")),
        ("M12x1.75", "M12x1.75", "coarse", "12 mm", Fraction("1.75")),
        ("M12 x 1.25", "M12x1.25", "fine", "12 mm", Fraction("1.25")),
        ("m12\u00d71.50", "M12x1.5", "fine", "12 mm", Fraction("1.5")),
        ("M12x1.25-6g", "M12x1.25-6g", "fine", "12 mm", Fraction("1.25")),
        ("M10x1 LH", "M10x1-LH", "fine", "10 mm", Fraction(1)),
        ("M1.6", "M1.6x0.35", "coarse", "1.6 mm", Fraction("0.35")),
        ("1/2-13 UNC", "1/2-13 UNC", "UNC", "0.5 in", Fraction("25.4") / 13),
        ("1/2-13", "1/2-13 UNC", "UNC", "0.5 in", Fraction("25.4") / 13),
        (".500-13 UNC", "1/2-13 UNC", "UNC", "0.5 in", Fraction("25.4") / 13),
        ("3/8-24 UNF-2A", "3/8-24 UNF-2A", "UNF", "0.375 in", Fraction("25.4") / 24),
        ("#10-32 UNF", "#10-32 UNF", "UNF", "0.19 in", Fraction("25.4") / 32),
        ("10-32", "#10-32 UNF", "UNF", "0.19 in", Fraction("25.4") / 32),
        ("1/2-20 UNF-2B LH", "1/2-20 UNF-2B-LH", "UNF", "0.5 in", Fraction("25.4") / 20),
        ("1 1/8-12 UNF", "1 1/8-12 UNF", "UNF", "1.125 in", Fraction("25.4") / 12),
        ("1-1/8-12 UNF", "1 1/8-12 UNF", "UNF", "1.125 in", Fraction("25.4") / 12),
        ('3/4"-20 UNEF', "3/4-20 UNEF", "UNEF", "0.75 in", Fraction("25.4") / 20),
        ("2-4.5 UNC", "2-4.5 UNC", "UNC", "2 in", Fraction("25.4") / Fraction("4.5")),
    ],
)
def test_a_designation_is_read_exactly(
    text: str, designation: str, series: str, major: str, pitch_mm: Fraction
) -> None:
    read = thread(text)
    assert (str(read), read.series, read.major) == (designation, series, Length.parse(major))
    assert read.pitch == pitch_mm * 100_000


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("M12x1.6", "1.75 mm coarse and 1.5, 1.25 and 1 mm fine"),
        ("M12x60", "if it is the bolt's length, give that by itself"),
        ("M12x1.75x60", "write a metric thread as in M12"),
        ("M13", "nearest there: M12 and M14"),
        ("M200", "nearest there: M64"),
        ("M12x1,75", "write the decimals with a point"),
        ("M12x1.25-2A", "a bolt has one as in 6g"),
        ("M12x1.25-6g6h", "a bolt has one as in 6g"),
        ("1/2-14 UNC", r"13 threads per inch \(UNC\), 20 threads per inch \(UNF\) and 28"),
        ("1/2-13 UNF", r"13 threads per inch \(UNC\)"),
        ("1/2-13 UN", "UN is not held"),
        ("1/2-13 UNC-6g", "a bolt has 1A, 2A or 3A"),
        ("4-40 UNC", "write #4"),
        ("5/17-9 UNC", "nearest there: 1/4 and 5/16"),
        ("1/0-13 UNC", "divides by zero"),
        ("1/2-0 UNC", "has no 0 UNC"),
        ("M0", "nearest there: M1.6"),
        ("half inch", "write a metric thread as in M12"),
        ("", "write a metric thread as in M12"),
        ("M" + "1" * 200, "too long"),
    ],
)
def test_an_unreadable_thread_is_refused_with_what_to_write(text: str, advice: str) -> None:
    with pytest.raises(FitError, match=advice):
        thread(text)


@pytest.mark.parametrize("known", EVERY, ids=str)
def test_every_thread_prints_and_reads_back_the_same(known: Thread) -> None:
    assert thread(str(known)) == known


@given(threads())
def test_hand_and_class_print_and_read_back_the_same(known: Thread) -> None:
    assert thread(str(known)) == known


@given(st.text(alphabet='mMxX0123456789.,/#-+ UNCFELHRAB6gH\u00d7"'))
def test_any_text_is_a_thread_that_reads_back_or_a_refusal(text: str) -> None:
    try:
        read = thread(text)
    except FitError:
        return
    assert thread(str(read)) == read


@pytest.mark.parametrize("known", EVERY, ids=str)
def test_diameters_are_in_order_and_the_stress_area_lies_between(known: Thread) -> None:
    assert Length(0) < known.root_diameter < known.minor_diameter < known.pitch_diameter < known.major
    root, middle = (pi / 4 * float(d.mm) ** 2 for d in (known.root_diameter, known.pitch_diameter))
    assert root < known.stress_area < middle


@pytest.mark.parametrize("known", EVERY, ids=str)
def test_diameters_are_the_formulas_to_the_nearest_step(known: Thread) -> None:
    for diameter, share in ((known.pitch_diameter, 3 / 8), (known.minor_diameter, 5 / 8)):
        exact = known.major.units - share * sqrt(3) * float(known.pitch)
        assert abs(diameter.units - exact) <= 0.5 + 1e-6


@pytest.mark.parametrize("known", EVERY, ids=str)
def test_the_worst_threads_that_pass_still_overlap(known: Thread) -> None:
    bolt = external_limits(known)
    assert bolt.pitch_min < known.pitch_diameter and bolt.major_min < known.major
    if known.system == "ISO metric" and known.pitch < 30_000:
        with pytest.raises(FitError, match="state the hole's class"):
            internal_limits(known)
        return
    hole = internal_limits(known)
    assert hole.pitch_max > known.pitch_diameter and hole.minor_max > known.minor_diameter
    assert hole.minor_max < bolt.major_min and hole.pitch_max < bolt.major_min


def test_a_class_counts_for_its_own_side_only() -> None:
    assert external_limits(thread("M10-6H")) == external_limits(thread("M10-6g"))
    assert internal_limits(thread("M10-6g")) == internal_limits(thread("M10-6H"))
    assert external_limits(thread("M10-6h")).pitch_min > external_limits(thread("M10-6g")).pitch_min
    assert external_limits(thread("M10-8g")).pitch_min < external_limits(thread("M10-6g")).pitch_min
    assert (
        internal_limits(thread("1/2-13 UNC-3B")).minor_max < internal_limits(thread("1/2-13 UNC")).minor_max
    )


@given(threads(), threads())
def test_two_threads_match_whichever_is_the_male(one: Thread, other: Thread) -> None:
    assert (mismatch(one, other) is None) == (mismatch(other, one) is None)
    same = (one.major, one.pitch, one.left_hand) == (other.major, other.pitch, other.left_hand)
    assert (mismatch(one, other) is None) == same


def test_every_thread_matches_itself_and_no_other() -> None:
    for place, one in enumerate(EVERY):
        assert [mismatch(one, other) for other in EVERY].count(None) == 1
        assert mismatch(one, EVERY[place]) is None


def test_a_bolt_in_the_nut_of_its_thread_matches_whatever_the_classes() -> None:
    assert mismatch(thread("M12x1.25-6g"), thread("M12x1.25-6H")) is None


@pytest.mark.parametrize(
    ("male", "female"),
    [
        ("M12", "1/2-13 UNC"),
        ("M10x1.25", "M10"),
        ("M6", "1/4-20 UNC"),
        ("M8", "5/16-18 UNC"),
        ("M5", "#10-32 UNF"),
        ("M7", "M8x1"),
        ("3/8-16 UNC", "M10"),
    ],
)
def test_look_alikes_are_called_dangerous(male: str, female: str) -> None:
    for pair in ((male, female), (female, male)):
        said = mismatch(*map(thread, pair))
        assert said is not None and "Danger" in said


@pytest.mark.parametrize(
    ("male", "female"), [("M12", "M16"), ("M10", "M10 LH"), ("M20", "M20x1"), ("M6", "1/2-20 UNF")]
)
def test_what_does_not_even_start_is_not_called_dangerous(male: str, female: str) -> None:
    said = mismatch(thread(male), thread(female))
    assert said is not None and "Danger" not in said


def test_a_mismatch_states_its_figures() -> None:
    said = mismatch(thread("M12"), thread("1/2-13 UNC LH"))
    assert said == (
        "M12x1.75 does not screw into 1/2-13 UNC-LH: one is ISO metric, the other unified inch; the "
        "diameters are 12.00 mm (0.4724 in) and 12.70 mm (0.5000 in); the pitches are 1.75 mm and "
        "1.9538 mm (13 threads per inch); the male thread is right-hand, the female left-hand."
    )


def test_the_metric_table_has_the_order_of_its_standard() -> None:
    fine_steps = {Fraction(n, 100) for n in (20, 25, 35, 50, 75, 100, 125, 150, 200, 300, 400)}
    coarsest = Fraction(0)
    for size in METRIC_SIZES:
        coarse, *fine = [Fraction(pitch) for pitch, _ in size.series]
        assert [coarse, *fine] == sorted({coarse, *fine}, reverse=True) and set(fine) <= fine_steps
        assert coarse >= coarsest, "a larger size has no finer coarse pitch"
        coarsest = coarse
    assert [size.diameter for size in METRIC_SIZES] == sorted({size.diameter for size in METRIC_SIZES})


@pytest.mark.parametrize("series", ["UNC", "UNF", "UNEF"])
def test_the_unified_table_has_the_order_of_its_standard(series: str) -> None:
    counts = [Fraction(count) for size in UNIFIED_SIZES for count, name in size.series if name == series]
    assert counts == sorted(counts, reverse=True)
    for size in UNIFIED_SIZES:
        assert [Fraction(count) for count, _ in size.series] == sorted(
            Fraction(count) for count, _ in size.series
        )
    assert [size.diameter for size in UNIFIED_SIZES] == sorted({size.diameter for size in UNIFIED_SIZES})


@pytest.mark.parametrize("nonsense", NONSENSE)
def test_nonsense_is_refused(nonsense: Any) -> None:
    good = thread("M12")
    fields = (good.designation, good.system, good.series, good.major, good.pitch, False, "6g")
    calls: list[tuple[Any, tuple[Any, ...]]] = [
        (thread, (nonsense,)),
        (mismatch, (nonsense, good)),
        (mismatch, (good, nonsense)),
        (external_limits, (nonsense,)),
        (internal_limits, (nonsense,)),
        *(
            (Thread, (*fields[:i], nonsense, *fields[i + 1 :]))
            for i in range(7)
            if (i, nonsense) != (5, True)
        ),
    ]
    for call, arguments in calls:
        with pytest.raises((TypeError, FitError)):
            call(*arguments)


@pytest.mark.parametrize(
    ("changes", "advice"),
    [
        ({"system": "pipe"}, "ISO metric or unified inch"),
        ({"pitch": Fraction(0)}, "above zero"),
        ({"pitch": Fraction(700_000)}, "above zero and below half"),
        ({"tolerance": "2A"}, "no class of ISO 965-1"),
    ],
)
def test_a_thread_that_cannot_be_is_refused(changes: dict[str, Any], advice: str) -> None:
    good = thread("M12")
    fields = {name: getattr(good, name) for name in Thread.__slots__}
    with pytest.raises(FitError, match=advice):
        Thread(**(fields | changes))


def test_the_modules_load_without_django_clock_network_or_environment() -> None:
    program = (
        "import sys; before = set(sys.modules); import kits.fit.engaging; new = set(sys.modules) - before; "
        "print(sorted(new & {'django', 'socket', 'time', 'datetime', 'asyncio'}))"
    )
    answer = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "[]"
