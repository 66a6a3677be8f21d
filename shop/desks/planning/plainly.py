"""Classes and methods in words that need no book."""

from __future__ import annotations

from typing import Final

CLASSES: Final = {
    "smooth": "sells often and evenly",
    "erratic": "sells often, in very different numbers",
    "intermittent": "sells seldom, about as many each time",
    "lumpy": "sells seldom, and in very different numbers",
    "unsold": "has not sold",
}
ABC: Final = {
    "A": "one of the few parts that most of the money goes through",
    "B": "of middling weight in money",
    "C": "one of the many parts with little money in each",
}
METHODS: Final = {
    "ses": "a mean in which late months weigh more",
    "moving_average": "the mean of the last year",
    "sba": "how much each time, over how often, a little less than Croston's (Syntetos and Boylan)",
    "croston": "how much each time, over how often (Croston)",
    "tsb": "how much each time, times how likely, so that a part may die out (Teunter, Syntetos, Babai)",
    "bootstrap": "months drawn again from the last years",
    "seasonal": "the mean of a year, by the seasons of the last ones",
    "prior": "what kits with its slot sell, as it is too young to tell by itself",
    "none": "nothing is known yet",
}


def plainly(words: dict[str, str], code: str) -> str:
    """The words for a code, or the code itself where it is a new one."""
    return words.get(code, code)
