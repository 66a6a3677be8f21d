"""What is ordered, comes, comes otherwise than ordered, or will not come."""

from __future__ import annotations

from datetime import timedelta

from django.db.models import F
from django.utils import timezone

from inventory.models import Difference, PurchaseLine, Receipt

from .looking import Args, Looking

ENOUGH_TO_COME = 25
LATEST_DAYS = 15
MOST_CHARGED = 30


class Goods(Looking):
    def order(self) -> Args | None:
        part = self._part()
        lines = PurchaseLine.objects.filter(part=part, received__lt=F("quantity"))
        if sum(line.quantity - line.received - line.reserved for line in lines) >= ENOUGH_TO_COME:
            return None
        return {"part": part, "quantity": self.chance.randint(5, 20)}

    def slip(self) -> Args | None:
        line = self._owed()
        day = timezone.localdate() + timedelta(days=self.chance.randint(0, LATEST_DAYS))
        return line and {"line": line["line"], "part": line["part"], "due": day.isoformat()}

    def receive(self) -> Args | None:
        """Now and then with charges; and now and then so many that they are refused."""
        line = self._owed()
        if line is None:
            return None
        quantity = self.chance.randint(1, line.pop("left") + (self.chance.random() < 0.05))
        charged = {"charges": self._money(MOST_CHARGED)} if self.chance.random() < 0.3 else {}
        return {**line, "quantity": quantity, **charged}

    def receive_over(self) -> Args | None:
        """More than was ordered, and kept; at times of an order of which all has come."""
        line = self._owed() if self.chance.random() < 0.8 else self._line(received=F("quantity"))
        if line is None:
            return None
        quantity = line.pop("left") + self.chance.randint(1, 3)
        return {**line, "quantity": quantity, "keep_over": True, "charges": self._money(MOST_CHARGED)}

    def receive_spoilt(self) -> Args | None:
        """Some spoilt, and at times all: to be sent anew or not, and now and then too many as well."""
        line = self._waited_for() or self._owed()
        if line is None:
            return None
        left = line.pop("left")
        return {
            **line,
            "quantity": self.chance.randint(0, left + (self.chance.random() < 0.2)),
            "spoilt": self.chance.randint(1, 8),
            "not_owed": self.chance.random() < 0.6,
            "keep_over": True,
        }

    def close_short(self) -> Args | None:
        line = self._waited_for() or self._owed()
        return line and {"line": line["line"], "part": line["part"]}

    def report(self) -> Args | None:
        line = self._line()
        return line and {"line": line["line"], "quantity": self.chance.randint(1, 3)}

    def settle(self) -> Args | None:
        found = self._row(Difference.objects.filter(settled_at=None), "pk")
        return found and {"difference": found[0]}

    def charge_late(self) -> Args | None:
        """Rather for a delivery of which some must have left."""
        receipts = Receipt.objects.filter(lines__isnull=False)
        gone = receipts.filter(lines__quantity__gt=F("lines__purchase_line__part__stock__on_hand"))
        found = self._row(gone, "pk") or self._row(receipts, "pk", youngest=True)
        return found and {"receipt": found[0], "amount": self._money(MOST_CHARGED)}

    def _owed(self, **having: object) -> Args | None:
        return self._line(received__lt=F("quantity"), **having)

    def _waited_for(self) -> Args | None:
        return self._owed(reserved__gt=0)

    def _line(self, **having: object) -> Args | None:
        left = F("quantity") - F("received")
        found = self._row(PurchaseLine.objects.filter(**having), "order", "pk", "part", left)
        return found and dict(zip(("order", "line", "part", "left"), found, strict=True))
