"""`manage.py backtest` reads a table, prints what came of it, and says of a bad file what to do."""

import json
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from inventory.planning.backtest import OURS_ALONE, POLICIES


@pytest.fixture
def table(tmp_path: Path) -> Path:
    """Three years of three made-up parts: one now and then, one steady, one that came late."""
    drawn = np.random.default_rng(4)
    lines = ["month,LINTEL-GASKET,LINTEL-BOLT,LINTEL-CLAMP"]
    for month in range(40):
        late = "" if month < 6 else drawn.poisson(1.0)
        lines.append(
            f"{2023 + month // 12}-{month % 12 + 1:02},{drawn.poisson(0.4)},{drawn.poisson(6)},{late}"
        )
    path = tmp_path / "demand.csv"
    path.write_text("\n".join(lines), encoding="utf-8-sig")
    return path


def said(*words: object) -> str:
    out = StringIO()
    call_command("backtest", *map(str, words), stdout=out)
    return out.getvalue()


def test_a_table_of_all_policies_is_printed(table: Path) -> None:
    text = said(table, "--lead", 1, "--fill", 0.9)
    assert text.startswith("3 parts in 14 months that count,")
    assert "90.0% wanted from the shelf" in text
    for policy in POLICIES:
        assert f"\n{policy.name} " in text or f"\n{policy.name}," in text
    assert "same fill, of all pieces" in text
    assert "worth" not in text


def test_prices_bring_money_into_it(table: Path) -> None:
    costs = table.with_name("costs.csv")
    costs.write_text("part,price\nLINTEL-GASKET,4.20\nLINTEL-BOLT,0.80\nLINTEL-CLAMP,12\n")
    assert "stock worth" in said(table, "--costs", costs, "--order-cost", "5.00")
    found = json.loads(said(table, "--costs", costs, "--order-cost", "5.00", "--json"))
    assert all(one["cost_cents"] >= 500 * one["orders"] > 0 for one in found["policies"])


def test_json_holds_all_of_it(table: Path) -> None:
    found = json.loads(
        said(table, "--json", "--lost", "--alone", "--review", 2, "--lead", 1.5, "--least-sales", 0)
    )
    assert found["lead_chances"] == [0, 0.5, 0.5]
    assert (found["review"], found["refresh"], found["short"], found["warm_up"]) == (2, 2, "lost", 24)
    assert [one["policy"] for one in found["policies"]] == [policy.name for policy in (*POLICIES, OURS_ALONE)]
    assert {one["by"] for one in found["at_equal_fill"]} == {"pieces", "parts"}


def test_progress_goes_to_the_error_stream(table: Path) -> None:
    out, errors = StringIO(), StringIO()
    call_command("backtest", str(table), "--progress", "--refresh", "8", stdout=out, stderr=errors)
    assert errors.getvalue().endswith("\n")
    last = errors.getvalue().split("\r")[-1].split()
    assert last[0] == last[2]
    assert "\r" not in out.getvalue()


@pytest.mark.parametrize(
    ("text", "options", "message"),
    [
        (b"month,A\n2026-01,few\n", [], r"demand.csv: A, 2026-01: 'few' is no number of pieces"),
        (b"month,A\n2026-01,1\n", [], "No part has a period left to count"),
        (b"\xff\xfe\x00", [], "no text in UTF-8"),
        (b"month,A\n2026-01,1\n", ["--fill", "95"], "lies between 0 and 1: 0.95, not 95"),
        (b"month,A\n2026-01,1\n", ["--costs", "nowhere.csv"], "nowhere.csv cannot be read"),
        (b"month,A\n2026-01,1\n", ["--order-cost", "dear"], "'dear' is no sum of money"),
    ],
)
def test_what_will_not_do_is_said(table: Path, text: bytes, options: list[str], message: str) -> None:
    table.write_bytes(text)
    with pytest.raises(CommandError, match=message):
        call_command("backtest", str(table), *options)


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        call_command("backtest", str(tmp_path / "none.csv"))
