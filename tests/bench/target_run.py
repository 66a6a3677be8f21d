"""A run of targets by the acts. It has an interpreter to itself, in which Django is set up first."""

from __future__ import annotations

from decimal import Decimal

import numpy as np

from .alone import say
from .planning import Done


def reckoned() -> Done:
    """A run by the acts, as a worker or `manage.py targets` does it."""
    import django

    django.setup()
    from django.db.models import Sum

    from inventory.models import Alert, Target
    from inventory.targeting import begin, go_on

    run = go_on(begin(None, wanted=Decimal("0.95")), _tell)
    if run.stage != run.Stage.DONE:
        raise RuntimeError(f"The run ended as {run.stage}: {run.note}")
    of_run = Target.objects.filter(run=run)
    figures = np.array(list(of_run.values_list("figures__demand__mean", "figures__fill_rate")), np.float64)
    asked, served = figures[~np.isnan(figures).any(axis=1)].T
    pieces = of_run.aggregate(all=Sum("up_to"))["all"]
    assert run.ended_at is not None
    stood = (run.ended_at - run.started_at).total_seconds()
    alerts = Alert.objects.filter(cleared_at=None).count()
    then = f"every alert looked at: {alerts:,} open"
    return Done(of_run.count(), pieces, float(asked @ served / asked.sum()), stood, then)


def _tell(done: int, total: int, what: str) -> None:
    say(what, done, total)
