"""What a run did, in plain lines."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from .logs import Told


def done_by_kind(logs: Sequence[Told]) -> Counter[str]:
    """The acts that were answered, by kind."""
    return Counter(log.intents[key].kind for log in logs for key in log.answers)


def report(logs: Sequence[Told], *, died: int, servers: int, seconds: float) -> str:
    done = done_by_kind(logs)
    refused = Counter(code for log in logs for code in log.refusals.values())
    unanswered = sum(len(log.unanswered) for log in logs)
    return "\n".join(
        [
            f"{done.total()} acts in {seconds:.0f} s, {done.total() / seconds:.1f} a second: {_said(done)}",
            f"{refused.total()} refused: {_said(refused) or 'none'}",
            f"{died} clients killed, {servers} times the server; "
            f"{sum(log.given_again for log in logs)} answers given again, "
            f"{sum(log.runs for log in logs)} acts run again after a deadlock, "
            f"{sum(log.tries for log in logs)} asked again after a lost connection; "
            f"{unanswered} left unanswered",
        ]
    )


def _said(counted: Counter[str]) -> str:
    return ", ".join(f"{name} {times}" for name, times in counted.most_common())
