"""What a client writes down for itself: each intent before it acts, each outcome after.

One JSON object a line, only ever added, on the disk before the client goes on. A client that was killed
leaves an intent without an outcome, or half a line.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any


class Log:
    """A client's own file, opened to add to it; half a line that was left behind is cut off."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file = path.open("a+b", buffering=0)
        self._file.seek(0)
        whole = self._file.read().rpartition(b"\n")
        self._file.truncate(len(whole[0] + whole[1]))

    def add(self, **record: Any) -> None:
        self._file.write(json.dumps(record).encode() + b"\n")
        os.fsync(self._file.fileno())

    def close(self) -> None:
        self._file.close()


@dataclass(frozen=True)
class Intent:
    """An act that a client was about to ask for."""

    key: str
    kind: str
    args: Mapping[str, Any]


@dataclass
class Told:
    """All that a client's log tells, over all its lives.

    `tries` is how often an act was asked for again after a lost connection, `runs` how often one began anew
    after a deadlock. `given_again` are the answers that came without a run.
    """

    intents: dict[str, Intent] = field(default_factory=dict)
    answers: dict[str, int] = field(default_factory=dict)  # Key: the act's audit id.
    refusals: dict[str, str] = field(default_factory=dict)  # Key: the code.
    faults: list[str] = field(default_factory=list)
    runs: int = 0
    tries: int = 0
    given_again: int = 0

    @property
    def unanswered(self) -> list[Intent]:
        done = self.answers.keys() | self.refusals.keys()
        return [intent for key, intent in self.intents.items() if key not in done]


def told(path: Path) -> Told:
    """Read a log, half a line at its end left out. Another answer to the same key is a fault."""
    found = Told()
    lines = path.read_bytes().split(b"\n")[:-1] if path.exists() else []
    for record in map(json.loads, lines):
        if "intent" in record:
            key = record["intent"]
            found.intents[key] = Intent(key, record["kind"], record["args"])
        elif "fault" in record:
            found.faults.append(record["fault"])
        else:
            _outcome(found, record)
    return found


def _outcome(found: Told, record: Mapping[str, Any]) -> None:
    found.runs += max(0, record["runs"] - record["tries"])
    found.tries += record["tries"] - 1
    if "refused" in record:
        found.refusals[record["refused"]] = record["code"]
        return
    key, number = record["answer"], record["number"]
    found.given_again += not record["runs"]
    if found.answers.setdefault(key, number) != number:
        found.faults.append(f"{key} was answered with act {found.answers[key]}, then with {number}")
