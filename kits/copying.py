"""Act on custom kits: another of the same, to change without touching the first."""

from __future__ import annotations

from django.contrib.auth.models import User

from inventory.acting import act
from kits.models import CustomKit, Fill, FillPart, OwnFeature


@act("kits.customise")
def copy_kit(user: User, kit: CustomKit) -> CustomKit:
    """A new kit of the same revision on the same engine, filled alike, with what was agreed and given."""
    kit = CustomKit.objects.select_for_update(of=("self",)).get(pk=kit.pk)
    made = CustomKit.objects.create(
        revision_id=kit.revision_id, engine_id=kit.engine_id, made_by=user, note=kit.note
    )
    for fill in kit.fills.prefetch_related("parts", "own_features"):
        parts, own = list(fill.parts.all()), list(fill.own_features.all())
        copied = Fill.objects.create(
            kit=made, slot_id=fill.slot_id, how=fill.how, chosen=fill.chosen, agreed=fill.agreed
        )
        FillPart.objects.bulk_create(
            FillPart(fill=copied, part_id=part.part_id, quantity=part.quantity) for part in parts
        )
        for feature in own:
            _copied(feature, copied).save()
    return made


def _copied(feature: OwnFeature, fill: Fill) -> OwnFeature:
    values = {
        field.attname: getattr(feature, field.attname)
        for field in OwnFeature._meta.concrete_fields
        if not field.primary_key and field.name != "fill"
    }
    return OwnFeature(fill=fill, **values)
