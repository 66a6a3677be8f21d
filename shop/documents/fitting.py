"""The fitting sheet of one kit: the paper that answers the next ten calls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from shop.models import AsBuilt, QuoteKit, QuoteLine


@dataclass(frozen=True)
class SheetPart:
    """A line of the list of parts, for one kit; `number` is empty where the shop sends nothing."""

    slot: str
    number: str
    what: str
    quantity: int
    remark: str


@dataclass(frozen=True)
class SheetReason:
    """One check or rule and what it says, with its figures."""

    verdict: str
    text: str


@dataclass(frozen=True)
class BuiltPart:
    """What was scanned into a kit."""

    ordinal: int
    part: str
    lot: str
    quantity: int


@dataclass(frozen=True)
class FittingSheet:
    """Everything on the paper, taken from the picture that the quote keeps and the as-built record."""

    number: str
    customer: str
    title: str
    engine: str
    plate: str
    revision: str
    hours: str
    verdict: str
    parts: tuple[SheetPart, ...]
    reasons: tuple[SheetReason, ...]
    works: tuple[dict[str, Any], ...]
    steps: tuple[dict[str, Any], ...]
    never_reuse: tuple[dict[str, str], ...]
    cautions: tuple[str, ...]
    built: tuple[BuiltPart, ...]

    @property
    def measure_first(self) -> bool:
        return self.verdict == "measure first"


def fitting_sheet(quote_kit: QuoteKit) -> dict[str, Any]:
    """Context of fitting_sheet.html, read from the quote's own picture: never from today's catalogue."""
    record = quote_kit.record
    template = record["template"]
    sheet = FittingSheet(
        number=quote_kit.quote.number,
        customer=quote_kit.quote.customer.name,
        title=quote_kit.title,
        engine=record["engine"]["name"],
        plate=record["engine"]["plate"],
        revision=f"{template['name']} revision {template['revision']}",
        hours=template["hours"],
        verdict=quote_kit.verdict,
        parts=tuple(_parts(record["fills"])),
        reasons=tuple(_reasons(record["judgement"])),
        works=tuple(record["works"]),
        steps=tuple(record["steps"]),
        never_reuse=tuple(record["never_reuse"]),
        cautions=tuple(_cautions(record)),
        built=tuple(_built(quote_kit)),
    )
    return {"sheet": sheet}


def _parts(fills: list[dict[str, Any]]) -> list[SheetPart]:
    rows: list[SheetPart] = []
    for fill in fills:
        if not fill["parts"]:
            remark = "; ".join([fill["how_text"], *fill["own"]])
            rows.append(SheetPart(fill["name"], "", remark, 0, fill["agreed"]))
        rows += [
            SheetPart(
                fill["name"],
                part["number"],
                f"{part['maker']} {part['name']}",
                part["quantity"],
                fill["agreed"],
            )
            for part in fill["parts"]
        ]
    return rows


def _reasons(judgement: dict[str, Any]) -> list[SheetReason]:
    found = [*judgement["findings"], *judgement["rules"]]
    reasons = [SheetReason(item["verdict"], item.get("reason") or item.get("text", "")) for item in found]
    return reasons + [SheetReason("", note) for note in judgement["notes"]]


def _cautions(record: dict[str, Any]) -> list[str]:
    """Those that the list of what must not be re-used does not say already."""
    said = tuple(f"{item['slot']}: {item['why']}" for item in record["never_reuse"])
    return [caution for caution in record["cautions"] if not (said and caution.endswith(said))]


def _built(quote_kit: QuoteKit) -> list[BuiltPart]:
    records = AsBuilt.objects.filter(
        order_kit__quote_kit=quote_kit, quote_line__kind=QuoteLine.Kind.PART
    ).select_related("order_kit", "part__maker", "lot")
    return [
        BuiltPart(
            built.order_kit.ordinal, str(built.part), built.lot.code if built.lot else "", built.quantity
        )
        for built in records
    ]
