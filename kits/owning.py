"""The sizes that a customer gives of their own part, as typed, read into features."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation

from inventory.acting import ActError
from kits.conversion import OWN, Conversion, Filling, SlotRead
from kits.fit import Band, FitError
from kits.models import Feature, FeatureKind, OwnFeature
from kits.models.features import RATING_STEPS


def own_features(
    conversion: Conversion, slot: SlotRead, filling: Filling, own: Mapping[str, str]
) -> list[OwnFeature]:
    """Unsaved features by kind code; an empty text means that the size is not known."""
    given = {code: text.strip() for code, text in own.items() if text.strip()}
    if not given:
        return []
    if filling.how != OWN:
        raise ActError(
            f"Sizes are only given of the customer's own {slot.name}; choose 'own' for it or leave them out.",
            code="not-own",
        )
    kinds = {kind.code: kind for kind in FeatureKind.objects.filter(code__in=given)}
    unknown = sorted(set(given) - set(kinds))
    if unknown:
        asked = ", ".join(_asked_of(conversion, slot)) or "nothing"
        raise ActError(
            f"There is no feature called {', '.join(unknown)}. Of {slot.name} the checks ask: {asked}.",
            code="no-such-feature",
            unknown=unknown,
        )
    return [_feature(kinds[code], text) for code, text in given.items()]


def _asked_of(conversion: Conversion, slot: SlotRead) -> list[str]:
    """Codes of the features that the checks ask of a slot."""
    ids = {t.feature_id for check in conversion.checks for t in check.terms if t.slot_id == slot.id}
    return list(FeatureKind.objects.filter(pk__in=ids).values_list("code", flat=True))


def _feature(kind: FeatureKind, text: str) -> OwnFeature:
    feature = OwnFeature(kind=kind, source=Feature.Source.MEASURED)
    try:
        lo, hi, designation = read_feature(kind, text)
    except FitError as error:
        raise ActError(f"{kind.name}: {error}", code="not-a-size", feature=kind.code) from error
    feature.lo, feature.hi, feature.text = lo, hi, designation
    return feature


def read_feature(kind: FeatureKind, text: str) -> tuple[int | None, int | None, str]:
    """A feature as typed, as it is stored: lowest, highest, designation. FitError says what is wrong."""
    if kind.quantity == FeatureKind.Quantity.LENGTH:
        band = Band.parse(text)
        return band.lo.units, band.hi.units, ""
    if kind.quantity == FeatureKind.Quantity.TEXT:
        return None, None, text
    figure = text.removesuffix(kind.unit).strip() if kind.unit else text
    per_unit = RATING_STEPS if kind.quantity == FeatureKind.Quantity.RATING else 1
    try:
        stored = Decimal(figure) * per_unit
    except InvalidOperation as error:
        raise FitError(f"{text!r} is not a number; write it as in 12 {kind.unit}".strip()) from error
    if not stored.is_finite() or stored != stored.to_integral_value():
        raise FitError(f"{text!r} is finer than is stored; round it to a whole number of 1/{per_unit}")
    return int(stored), int(stored), ""
