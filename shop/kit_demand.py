"""What a quote asks of the stock room as the records of demand have it: kit by kit, with first choices."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence

from inventory.demand import Asked
from inventory.models import Part
from kits.models import CandidatePart

from .models import Quote, QuoteLine

# By revision and slot the parts of its default, the first named first.
Defaults = Mapping[tuple[int, str], Sequence[Part]]


def asked_for(quote: Quote, reference: str, only: Collection[int] | None = None) -> list[Asked]:
    """The parts of all its kits, or `only` these; the lines of one quoted kit share `reference`/number.

    A part is in the place of another if it is in a slot whose default is another.
    """
    lines = (
        QuoteLine.objects.filter(quote_kit__quote=quote, kind=QuoteLine.Kind.PART)
        .select_related("quote_kit__revision__template", "part")
        .order_by("quote_kit", "position")
    )
    numbers = {pk: number for number, pk in enumerate(quote.kits.values_list("pk", flat=True), start=1)}
    defaults = _defaults({line.quote_kit.revision_id for line in lines})
    pieces: Counter[Asked] = Counter()
    for line in lines:
        part, kit = line.part, line.quote_kit
        assert part is not None  # A constraint: a part line has a part.
        if only is None or part.pk in only:
            one = Asked(
                part_id=part.pk,
                quantity=0,
                kit=kit.revision.template.code,
                kits=kit.quantity,
                reference=f"{reference}/{numbers[kit.pk]}",
                first_choice_id=first_choice(part, defaults[kit.revision_id, line.slot_code]),
            )
            pieces[one] += line.quantity * kit.quantity
    return [one.of(quantity) for one, quantity in pieces.items()]


def _defaults(revisions: Collection[int]) -> Defaults:
    """Of released revisions, which never change: so a quote's kits had the same defaults when it was made."""
    found: dict[tuple[int, str], list[Part]] = defaultdict(list)
    rows = CandidatePart.objects.filter(candidate__is_default=True, candidate__slot__revision__in=revisions)
    for row in rows.select_related("candidate__slot", "part").order_by("pk"):
        slot = row.candidate.slot
        found[slot.revision_id, slot.code].append(row.part)
    return found


def first_choice(part: Part, defaults: Sequence[Part]) -> int | None:
    """Whose place the part takes: of several that come together, the one of its category, else the first."""
    if not defaults or part in defaults:
        return None
    alike = [one for one in defaults if one.category_id == part.category_id]
    return (alike or list(defaults))[0].pk
