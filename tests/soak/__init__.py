"""The proof that stock and promises hold under load and faults: many clients, kills, and a sequential model.

`python -m tests.soak --seconds 600` is the long run; `test_short_run.py` is the short one.

How it is proved. Every act goes through the door of the web, `shop.answering.answer_once`, under a key of
its own. Its answer, kept in the act's own transaction, holds what the act read of its parts just before
it ended, and the ids of its audit entries. Those ids put the acts into a serial order (see `model.py`), in
which the model does them again, one after the other, and must read the same figures after each.
"""
