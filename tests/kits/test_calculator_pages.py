"""What every page of the desk calculator has, in text and in JSON, and how it refuses."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from kits.fit import Length

from .calculator import EVERY, PRESS, plain, said, with_deck

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("words", EVERY)
def test_json_has_the_figures_of_the_text(words: tuple[str, ...], tmp_path: Path) -> None:
    text, found = said(*with_deck(words, tmp_path)), plain(*with_deck(words, tmp_path))
    lengths = list(lengths_in({name: part for name, part in found.items() if name != "finding"}))
    assert lengths
    for length, units in lengths:
        assert Length.parse(length).units == units
        assert length.removesuffix(" mm") in text
    if found["finding"]:
        assert found["finding"]["reason"] in text


def lengths_in(value: Any) -> Iterator[tuple[str, int]]:
    """Every length in plain values, as text and as units."""
    if isinstance(value, dict):
        for text, units in (("lo", "lo_units"), ("hi", "hi_units"), ("length", "units")):
            if text in value and units in value:
                yield value[text], value[units]
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from lengths_in(inner)


@pytest.mark.parametrize("words", EVERY)
def test_every_page_says_what_it_assumes_and_who_comes_first(words: tuple[str, ...], tmp_path: Path) -> None:
    text = said(*with_deck(words, tmp_path))
    assert "Assumes: " in text
    assert "The maker's manual, local codes and licensed practice come first." in text


@pytest.mark.parametrize("words", EVERY)
def test_inches_first_are_the_same_figures(words: tuple[str, ...], tmp_path: Path) -> None:
    inches = said(*with_deck(words, tmp_path), "--unit", "in")
    assert sorted(inches.replace("(", " ").replace(")", " ").replace(".", " ").split()) == sorted(
        said(*with_deck(words, tmp_path)).replace("(", " ").replace(")", " ").replace(".", " ").split()
    )


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("limits", "25"), "write the size first, then one class or more"),
        (("limits", "25", "Q7"), "'Q7' is not a tolerance class"),
        (("limits", "4000", "H7"), "sizes above 0 up to 3150 mm"),
        (("limits", "H7"), "write the size first"),
        (("pair", "25 g6", "25 H7"), "give the bore first"),
        (("pair", "25 H7", "25 H7"), "give the shaft second"),
        (("pair", "25 H7", "about 25"), "'about 25' is not a size; write it as in"),
        (("pair", "25 H7", "25 g6", "--at-least", "2", "--at-most", "1"), "cannot both be met"),
        (("pair", "25 H7", "25 g6", "--at-least", "1", "--like", "25 H7/g6"), "not both"),
        (("thread", "M13"), "the nearest there: M12 and M14"),
        (("thread", "M12", "M12x1.3"), "M12 has no pitch"),
        (("thread", "M12", "--class", "5"), "is not a bolt's class"),
        (("thread", "M12", "--class", "grade 5"), "give a class such as 8.8"),
        (("thread", "M12", "--material", "cheese"), "no figures are known for 'cheese'; use one of"),
        (("thread", "M12", "--multiple", "lots"), "--multiple: 'lots' is not a number"),
        ((*PRESS[:2], "60 g6", *PRESS[3:]), "never press: the clearance is"),
        ((*PRESS, "--hub", "cheese"), "use one of steel"),
        ((*PRESS, "--hub-outside", "50"), "must be above the joint's diameter"),
        ((*PRESS, "--shaft-bore", "70"), "must be below the joint's diameter"),
        ((*PRESS, "--torque", "lots"), "torque to carry, in Nm"),
        ((*PRESS, "--friction", "0"), "friction of the joint"),
        (("chain", "nowhere.toml"), "nowhere.toml cannot be read (No such file or directory)"),
        (("chain", str(ROOT)), "cannot be read"),
        (("chain", "deck", "--draws", "many"), "--draws: 'many' is not a number"),
        (("chain", "deck", "--draws", "1"), "draw from 2 to 10,000,000 assemblies"),
        (("chain", "deck", "--seed=-1"), "a seed is zero or a positive whole number"),
        (("chain", "deck", "--distribution", "round"), "'normal' or 'uniform', not 'round'"),
    ],
)
def test_an_error_says_what_to_do(words: tuple[str, ...], told: str, tmp_path: Path) -> None:
    with pytest.raises(CommandError) as error:
        said(*with_deck(words, tmp_path))
    assert told in str(error.value)
    assert error.value.returncode == 1


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"\xff\xfe", "is not UTF-8 text"),
        (b"#" * 200_001, "is larger than 200,000 bytes"),
        (b"title = ", "the file is not TOML"),
    ],
)
def test_a_file_that_is_no_chain_is_refused(tmp_path: Path, content: bytes, told: str) -> None:
    path = tmp_path / "chain.toml"
    path.write_bytes(content)
    with pytest.raises(CommandError, match=told):
        said("chain", str(path))


def manage(*words: str) -> "subprocess.CompletedProcess[str]":
    """On a database that cannot even be opened."""
    environment = {**os.environ, "DATABASE_URL": "sqlite:////nowhere/at/all.sqlite3"}
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


def test_it_works_before_there_is_a_database() -> None:
    done = manage("limits", "25", "H7")
    assert (done.returncode, done.stderr) == (0, "")
    assert "25.00 to 25.021 mm" in done.stdout


def test_an_error_ends_with_code_1_and_no_traceback() -> None:
    done = manage("thread", "M13")
    assert done.returncode == 1
    assert done.stderr.startswith("CommandError: M13 is not a size")
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize("name", ["limits", "pair", "chain", "thread", "press"])
def test_help_shows_an_example(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        call_command(name, "--help")
    assert end.value.code == 0
    text = capsys.readouterr().out
    assert "--json" in text
    assert "examples:" in text or "a file to begin with" in text
