"""A client's log survives its client."""

from pathlib import Path

from .logs import Log, told


def test_an_intent_without_an_outcome_is_unanswered(tmp_path: Path) -> None:
    log = Log(tmp_path / "log")
    log.add(intent="a", kind="hold", args={})
    log.add(answer="a", number=5, runs=3, tries=1)
    log.add(intent="b", kind="commit", args={})
    log.close()
    found = told(tmp_path / "log")
    assert [intent.key for intent in found.unanswered] == ["b"]
    assert (found.runs, found.tries, found.given_again) == (2, 0, 0)


def test_half_a_line_is_cut_off_by_the_successor(tmp_path: Path) -> None:
    path = tmp_path / "log"
    path.write_bytes(b'{"intent": "a", "kind": "hold", "args": {}}\n{"answer": "a", "num')
    assert list(told(path).intents) == ["a"]
    log = Log(path)
    log.add(refused="a", code="short", runs=1, tries=2)
    log.close()
    found = told(path)
    assert (found.unanswered, found.refusals, found.tries) == ([], {"a": "short"}, 1)


def test_two_answers_to_one_key_are_a_fault(tmp_path: Path) -> None:
    log = Log(tmp_path / "log")
    log.add(intent="a", kind="hold", args={})
    log.add(answer="a", number=5, runs=1, tries=1)
    log.add(answer="a", number=6, runs=1, tries=1)
    log.close()
    assert told(tmp_path / "log").faults == ["a was answered with act 5, then with 6"]


def test_an_answer_that_came_without_a_run_was_given_again(tmp_path: Path) -> None:
    log = Log(tmp_path / "log")
    log.add(intent="a", kind="hold", args={})
    log.add(answer="a", number=5, runs=0, tries=1)
    log.close()
    assert told(tmp_path / "log").given_again == 1
