"""How the counter reads a reason: its first sentence, in millimetres, without advice on the open slot."""

import pytest

from shop.desks.counter.offers import brief, own_slot_apart, said_of

MISS = "Gap is -1.53 to -1.27 mm (-0.0603 to -0.0500 in), wanted 0.20 to 1.00 mm (0.0079 to 0.0393 in)."
ADVICE = "With Nose spacer thickness 8.30 to 8.90 mm it goes together; in the list: Aldwen AW-1406."


@pytest.mark.parametrize(
    ("reason", "first"),
    [
        (f"{MISS} It misses by 1.47 mm.", "Gap is -1.53 to -1.27 mm, wanted 0.20 to 1.00 mm."),
        (f"Bottoms. {MISS} It misses.", "Bottoms. Gap is -1.53 to -1.27 mm, wanted 0.20 to 1.00 mm."),
        ("It stretches once.", "It stretches once."),
    ],
)
def test_the_first_sentence_is_enough_for_the_list(reason: str, first: str) -> None:
    assert brief(reason) == first


def test_the_size_of_the_slot_that_is_open_is_no_news_there() -> None:
    reasons = [f"{MISS} {ADVICE}", f"{MISS} No size of Nose spacer makes it right while others are so."]
    assert list(own_slot_apart(reasons, "Nose spacer")) == [MISS, MISS]
    assert list(own_slot_apart(reasons, "Pump pulley")) == reasons


def test_a_check_in_the_way_is_told_by_its_figures_where_there_are_some() -> None:
    reason = "Bottoms. Nose bolt, room below is -1 mm, wanted 2 mm. It misses by 3 mm."
    assert said_of(["Nose bolt", "Belt"], [reason]) == [brief(reason), "Belt"]
