"""A made-up chain, and the words to ask the desk calculator shortly."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

from django.core.management import call_command

DECK = """
title = "Deck height"
at_least = "0.35 mm"
[[link]]
name = "block"
add = "220 +/-0.1 mm"
[[link]]
name = "throw"
take = "45 +/-0.03 mm"
[[link]]
name = "rod"
take = "140 +/-0.05 mm"
[[link]]
name = "piston"
take = "34.5 +/-0.05 mm"
"""
PRESS = ("press", "60 H7", "60 s6", "--hub-outside", "110", "--length", "60")


def said(*words: str) -> str:
    """What a command prints, with single spaces."""
    out = StringIO()
    call_command(*words, stdout=out)
    return " ".join(out.getvalue().split())


def plain(*words: str) -> dict[str, Any]:
    out = StringIO()
    call_command(*words, "--json", stdout=out)
    found = json.loads(out.getvalue())
    assert isinstance(found, dict)
    return found


EVERY = [
    ("limits", "25", "H7", "g6"),
    ("pair", "25 H7", "25 g6", "--like", "25 H7/g6"),
    ("thread", "M12", "1/2-13 UNC"),
    ("thread", "M12", "--class", "8.8", "--material", "cast iron"),
    (*PRESS, "--hub-yield", "355", "--torque", "400"),
    ("chain", "deck"),
]


def with_deck(words: tuple[str, ...], folder: Path) -> tuple[str, ...]:
    """The words, with the chain's file written where they say 'deck'."""
    path = folder / "deck.toml"
    path.write_text(DECK)
    return tuple(str(path) if word == "deck" else word for word in words)
