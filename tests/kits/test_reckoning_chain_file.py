"""The file of a chain: what it may say, and every way in which it can be wrong."""

from fractions import Fraction

import pytest

from kits.fit import Band, FitError, Length, Wanted
from kits.reckoning import Draws, chain_sheet, read_chain
from kits.reckoning.chain_file import HOW
from kits.reckoning.sheet import Table

HUB = '[[link]]\nname = "hub"\nadd = "28.00 +/-0.05 mm"\n'
NOSE = '[[link]]\nname = "nose"\ntake = "38.00 +/-0.05 mm"\n'
OPEN = '[[link]]\nname = "spacer"\nadd = "unknown"\nopen = true\n'
WANTED = 'wanted = "0.20..1.00 mm"\n'
FACE = '[[work]]\non = "spacer"\nname = "face"\ntakes_off = "0.80 mm"\nkeeps = "0.02 mm"\n'
ON_HUB = '[[work]]\non = "hub"\nname = "shorten"\ntakes_off = "5.00 mm"\nkeeps = "0.05 mm"\n'
FEW = Draws(200, 1, "normal")


def stock(name: str, size: str) -> str:
    return f'[[stock]]\nname = "{name}"\nsize = "{size}"\n'


def test_the_file_that_help_shows_can_be_read_and_goes_together() -> None:
    sheet = chain_sheet(read_chain(HOW), FEW)
    assert sheet.finding is not None
    assert sheet.finding.verdict.value == "goes together"


def test_times_and_over_make_the_factor_and_quantity_makes_links() -> None:
    text = '[[link]]\nname = "shim"\ntake = "17.25 +/-0.025 mm"\nquantity = 2\ntimes = 3\nover = 2\n'
    (link,) = read_chain(text).links
    assert link.factor == Fraction(3, 2)
    assert [term.measured.name for term in link.terms()] == ["shim 1", "shim 2"]
    assert {term.sign for term in link.terms()} == {-1}


def test_a_decimal_factor_is_exact() -> None:
    text = '[[link]]\nname = "slope"\nadd = "10.00 mm"\ntimes = 0.1\n'
    assert read_chain(text).links[0].factor == Fraction(1, 10)


def test_limits_are_a_band_or_one_side() -> None:
    mm = Length.from_mm
    assert read_chain(WANTED + HUB).wanted == Wanted(mm("0.20"), mm("1.00"))
    assert read_chain('at_least = "0.35 mm"\n' + HUB).wanted == Wanted(mm("0.35"), None)
    assert read_chain(HUB).wanted is None


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("wanted = 0.2..1.0", "the file is not TOML"),
        ("a = " + "[" * 5000, "the file is not TOML"),
        ("", "no links"),
        ("link = 3", r"\[\[link\]\], with two brackets"),
        ("link = [3]", "link 1 is to be a table"),
        ("colour = 'red'\n" + HUB, "'colour', which means nothing here"),
        ("[[link]]\nname = 'hub'\n", r"link 1 \(hub\) is to have either add or take"),
        (HUB + "take = '1.00 mm'\n", "either add or take"),
        ("[[link]]\nadd = '1.00 mm'\n", "link 1 has no name"),
        ("[[link]]\nname = 'hub'\nadd = 28\n", "add is to be a line of text in quotes"),
        ("[[link]]\nname = 'a'\nadd = '28,0 mm'\n", r"link 1 \(a\): .*is not a size"),
        ('[[link]]\nname = "\\u001b[31m"\nadd = "1 mm"\n', "name is to be a line of text"),
        (HUB + "quantity = 0\n", "quantity is a whole number from 1 to 100"),
        (HUB + "quantity = true\n", "quantity is a whole number"),
        (HUB + "over = 0\n", r"over is a number from 0\.001"),
        (HUB + "times = nan\n", r"times is a number from 0\.001"),
        (HUB + "times = inf\n", r"times is a number from 0\.001"),
        (HUB + "times = 1e-99999999\n", r"times is a number from 0\.001"),
        (HUB + "times = 0.3333333333333\n", "nine decimals at most"),
        (HUB + "times = 1" + "0" * 5000, "the file is not TOML"),
        (HUB + "times = '2'\n", r"times is a number from 0\.001 to 1000 with .* without quotes"),
        (HUB + "measured = 'inside'\n", "measured is one of outside, bore, depth"),
        (HUB + "open = 'yes'\n", "open is true or false"),
        (HUB + HUB, "two links have the same name: hub"),
        (
            WANTED + OPEN + OPEN.replace("spacer", "shim"),
            r"two open links \(spacer, shim\): one sum",
        ),
        (HUB + OPEN, "depends on what is wanted"),
        (WANTED + HUB + stock("A", "1 mm"), "stock stands in an open link, and none is open"),
        (WANTED + "at_least = '0.2 mm'\n" + HUB, "either wanted, or at_least and at_most, not both"),
        ("at_least = '2 mm'\nat_most = '1 mm'\n" + HUB, "cannot both be met"),
        (WANTED + HUB + FACE, "work 1 .face. is on 'spacer', which is no link; the links are hub"),
        (WANTED + OPEN + FACE + "opens_by = '1 mm'\n", "either takes_off or opens_by"),
        (WANTED + OPEN + FACE.replace("0.80", "0"), "takes_off is above zero"),
        (WANTED + OPEN + FACE + "price = 3\n", "'price', which means nothing here"),
        (WANTED + OPEN + stock("A", "1 mm") * 501, "501 of .*500 at most"),
    ],
)
def test_what_is_not_understood_is_told_with_its_place(text: str, told: str) -> None:
    with pytest.raises(FitError, match=told):
        read_chain(text)


def needed(text: str) -> dict[str, object]:
    group = chain_sheet(read_chain(text), FEW).as_dict()["open"]
    assert isinstance(group, dict)
    return group


def test_the_open_link_is_found_by_hand_as_well() -> None:
    # Others: 28 -/+ 0.05 less 38 -/+ 0.05 is -10.10 to -9.90; 0.20 + 10.10 = 10.30, 1.00 + 9.90 = 10.90.
    mm = Length.from_mm
    found = needed(WANTED + HUB + NOSE + OPEN)
    assert found["others"] == band(mm("-10.10"), mm("-9.90"))
    assert found["needed"] == band(mm("10.30"), mm("10.90"))


def band(lo: Length, hi: Length) -> dict[str, object]:
    return {"lo": str(lo), "hi": str(hi), "lo_units": lo.units, "hi_units": hi.units}


def test_two_like_spacers_have_half_the_size_each() -> None:
    mm = Length.from_mm
    found = needed(WANTED + HUB + NOSE + OPEN + "quantity = 2\n")
    assert found["needed"] == band(mm("5.15"), mm("5.45"))


def test_where_the_others_vary_too_much_no_size_is_needed() -> None:
    text = 'wanted = "0.20..0.30 mm"\n' + HUB + NOSE + OPEN + stock("A", "10.35 mm")
    assert needed(text)["needed"] is None
    assert "no size is right for sure" in chain_sheet(read_chain(text), FEW).text()


def shelf(*pieces: tuple[str, str], work: str = FACE) -> list[dict[str, object]]:
    text = WANTED + HUB + NOSE + OPEN + "".join(stock(*piece) for piece in pieces) + work
    rows = chain_sheet(read_chain(text), FEW).as_dict()["stock"]
    assert isinstance(rows, list)
    return rows


def test_the_shelf_is_judged_best_first() -> None:
    wide = ("edge", "10.88..10.92 mm"), ("large", "11.50 +/-0.02 mm")
    found = {row["name"]: row["verdict"] for row in shelf(("small", "10.00 mm"), *wide, ("fit", "10.60 mm"))}
    assert list(found.items()) == [
        ("fit", "goes together"),
        ("large", "goes with work"),
        ("edge", "measure first"),
        ("small", "does not go"),
    ]


def test_a_work_brings_the_next_piece_there_at_the_least_amount() -> None:
    # To 10.88 +/- 0.02, wholly within 10.30 to 10.90: from 11.52 at the most, 0.64 off.
    (row,) = shelf(("large", "11.50 +/-0.02 mm"))
    job = row["to_do"]
    assert isinstance(job, dict)
    assert (job["amount"], job["target"]["lo"], job["target"]["hi"]) == ("0.64 mm", "10.86 mm", "10.90 mm")


@pytest.mark.parametrize(
    ("size", "work", "said"),
    [
        ("10.00 mm", FACE, "0.30 mm (0.0119 in) below the range; no work listed reaches it"),
        ("11.90 mm", "", "1.00 mm (0.0394 in) above the range; no work"),
        ("10.88..10.92 mm", FACE, "measure it: right at 10.88 to 10.90 mm"),
        ("10.95 mm", "", "0.05 mm (0.0020 in) above the range; measure the other links"),
        ("10.95 mm", FACE, "face: take off up to 0.07 mm (0.0028 in), to 10.86 to 10.90 mm"),
        # 14.00 leaves the hub 24.95 at most: 24.90 +/- 0.05, from 28.05 at the most.
        ("14.00 mm", ON_HUB, "shorten: take off up to 3.15 mm (0.1241 in) on hub, to 24.85 to 24.95 mm"),
    ],
)
def test_what_a_piece_takes_is_said_with_its_figure(size: str, work: str, said: str) -> None:
    text = WANTED + HUB + NOSE + OPEN + stock("piece", size) + work
    (table,) = (part for part in chain_sheet(read_chain(text), FEW).parts if part.code == "stock")
    assert isinstance(table, Table)
    assert said in table.rows[0][-1].text


def test_of_two_like_pieces_each_is_worked_on() -> None:
    # Each needs 5.15 to 5.45: to 5.43 +/- 0.02, from 5.70.
    text = WANTED + HUB + NOSE + OPEN + "quantity = 2\n" + stock("piece", "5.70 mm") + FACE
    words = chain_sheet(read_chain(text), FEW).text().split()
    assert "take off up to 0.27 mm (0.0107 in) on each" in " ".join(words)


def test_without_stock_there_is_a_size_and_no_verdict() -> None:
    sheet = chain_sheet(read_chain(WANTED + HUB + NOSE + OPEN), FEW)
    assert sheet.finding is None
    assert "share_inside" not in sheet.as_dict()["result"]


def test_an_open_link_that_has_a_size_is_judged_as_it_is() -> None:
    sheet = chain_sheet(read_chain(WANTED + HUB + NOSE + OPEN.replace("unknown", "10.60 mm")), FEW)
    assert sheet.finding is not None
    assert sheet.finding.verdict.value == "goes together"
    assert sheet.finding.result == Band(Length.from_mm("0.50"), Length.from_mm("0.70"))


def test_an_unknown_link_is_measured_first_with_the_tool_for_it() -> None:
    text = WANTED + HUB + '[[link]]\nname = "recess"\ntake = "unknown"\nmeasured = "depth"\n'
    sheet = chain_sheet(read_chain(text), FEW)
    assert sheet.finding is not None
    assert sheet.finding.verdict.value == "measure first"
    assert "recess with a depth gauge" in sheet.finding.reason
    assert "result" not in sheet.as_dict()


def test_an_unknown_link_without_limits_says_what_to_write() -> None:
    with pytest.raises(FitError, match="unknown: hub; measure first, or write wanted"):
        chain_sheet(read_chain('[[link]]\nname = "hub"\nadd = "unknown"\n'), FEW)


def test_the_shares_of_the_links_are_those_of_their_widths() -> None:
    # Widths 0.1 and 0.3: a quarter and three quarters; of variance one tenth and nine tenths.
    text = HUB + '[[link]]\nname = "shim"\nadd = "1.00 +/-0.05 mm"\nquantity = 3\n'
    rows = chain_sheet(read_chain(text), FEW).as_dict()["links"]
    assert [row["of_worst_case"] for row in rows] == [0.25, 0.75]
    assert [row["of_variance"] for row in rows] == [0.25, 0.75]
    doubled = HUB + '[[link]]\nname = "shim"\nadd = "1.00 +/-0.05 mm"\ntimes = 3\n'
    rows = chain_sheet(read_chain(doubled), FEW).as_dict()["links"]
    assert [row["of_variance"] for row in rows] == [0.1, 0.9]


BOTH = "wanted = '9.90..10.02 mm'"


@pytest.mark.parametrize("limits", ["at_most = '10.02 mm'", "at_least = '9.98 mm'", BOTH])
def test_either_limit_counts_in_the_share_inside(limits: str) -> None:
    # Of a uniform 9.90 to 10.10 three fifths lie on the wanted side of 10.02, and of 9.98.
    text = limits + "\n[[link]]\nname = 'hub'\nadd = '10.00 +/-0.10 mm'\n"
    share = chain_sheet(read_chain(text), Draws(20_000, 1, "uniform")).as_dict()["result"]["share_inside"]
    assert share["share"] == pytest.approx(0.6, abs=5 * share["error"])
    assert share["inside"] == round(share["share"] * 20_000)
