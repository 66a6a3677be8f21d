"""Custom kits: open one for the customer's engine, and swap what fills its slots.

A swap to something that does not go is allowed: the counter sees the verdict, and quoting refuses it.
Once a kit is quoted the quote has its own record of it, so swapping stays allowed.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from django.contrib.auth.models import User
from django.db.models import F

from inventory.acting import ActError, Conflict, act
from kits.choices import Choice, choices_for
from kits.conversion import EMPTY, Conversion, Filling, Fills, SlotRead
from kits.models import (
    CustomKit,
    Engine,
    Fill,
    FillPart,
    KitTemplate,
    OwnFeature,
    Slot,
    Substitution,
    TemplateRevision,
)
from kits.options import agreement
from kits.owning import own_features
from kits.reading import read_conversion, read_kit
from kits.ruling import never_on

_AGREED_BY = {
    Substitution.Agreement.COUNTER: "the counter",
    Substitution.Agreement.CUSTOMER: "the customer",
}


class NotOnThisEngine(ActError):
    """The conversion does not exist on this engine; `instead` says what the shop offers."""

    code = "never-on-this-engine"


class Possibility(NamedTuple):
    """One template on one engine; `instead` is {"code", "name"} of the template to offer."""

    template: KitTemplate
    possible: bool
    reason: str
    instead: dict[str, str] | None


def conversions_for(engine: Engine) -> list[Possibility]:
    """What the counter shows when the engine is named: every template that has a released revision."""
    revisions = (
        TemplateRevision.objects.filter(state=TemplateRevision.State.RELEASED)
        .select_related("template")
        .order_by("template__name")
    )
    return [_possibility(revision, engine) for revision in revisions]


def _possibility(revision: TemplateRevision, engine: Engine) -> Possibility:
    conversion = read_conversion(revision, engine)
    rule = never_on(conversion, conversion.default_fills())
    if rule is not None:
        return Possibility(revision.template, False, rule.text, _named(rule.instead))
    if not revision.engines.filter(pk=engine.pk).exists():
        return Possibility(revision.template, False, f"It is not released for {engine}.", None)
    return Possibility(revision.template, True, "", None)


def _named(template: tuple[str, str] | None) -> dict[str, str] | None:
    return {"code": template[0], "name": template[1]} if template else None


@act("kits.customise")
def open_kit(user: User, template: KitTemplate, engine: Engine, note: str = "") -> CustomKit:
    """A new kit of the template's released revision, every slot filled with its default."""
    revision = (
        TemplateRevision.objects.filter(template=template, state=TemplateRevision.State.RELEASED)
        .select_related("template")
        .first()
    )
    if revision is None:
        raise _no_such_conversion(f"{template} has no released revision", engine)
    conversion = read_conversion(revision, engine)
    fills = conversion.default_fills()
    rule = never_on(conversion, fills)
    if rule is not None:
        offer = f" Offer {rule.instead[1]} instead." if rule.instead else ""
        raise NotOnThisEngine(rule.text + offer, reason=rule.text, instead=_named(rule.instead))
    if not revision.engines.filter(pk=engine.pk).exists():
        raise _no_such_conversion(f"{template} is not released for {engine}", engine)
    empty = [slot.name for slot in conversion.slots if slot.required and fills[slot.id] == EMPTY]
    if empty:
        raise ActError(
            f"{', '.join(empty)} must be filled but has no default; have the catalogue desk give one.",
            code="no-default",
            slots=empty,
        )
    kit = CustomKit.objects.create(revision=revision, engine=engine, made_by=user, note=note)
    made = Fill.objects.bulk_create(
        Fill(kit=kit, slot_id=slot_id, how=filling.how) for slot_id, filling in fills.items()
    )
    FillPart.objects.bulk_create(
        FillPart(fill=fill, part_id=part_id, quantity=quantity)
        for fill in made
        for part_id, quantity in fills[fill.slot_id].parts
    )
    return kit


def _no_such_conversion(why: str, engine: Engine) -> ActError:
    offered = [
        {"code": found.template.code, "name": found.template.name}
        for found in conversions_for(engine)
        if found.possible
    ]
    names = ", ".join(template["name"] for template in offered)
    offer = f"What there is for it: {names}." if offered else "There is no conversion for it."
    return ActError(f"{why}. {offer}", code="no-such-conversion", offered=offered)


@act("kits.customise")
def swap(
    user: User,  # noqa: ARG001  # the act checks the right and records who swapped
    kit: CustomKit,
    slot_code: str,
    key: str,
    *,
    own: Mapping[str, str] | None = None,
    agreed: str = "",
    version: int | None = None,
) -> CustomKit:
    """Fill one slot otherwise. `key` as in `Option.key`; `own` gives sizes of the customer's own part
    by feature code ("19.05 mm", "25 H7"); `version` is the one the screen showed, if there was a screen.
    """
    _claim(kit, version)
    conversion, fills = read_kit(kit)
    _fill(kit, conversion, fills, slot_code, key, own=own or {}, agreed=agreed, chosen=True)
    kit.refresh_from_db()
    return kit


@act("kits.customise")
def swap_together(
    user: User,  # noqa: ARG001  # as in swap
    kit: CustomKit,
    swaps: Mapping[str, str],
    *,
    follows: Mapping[str, str] | None = None,
    agreed: str = "",
    version: int | None = None,
) -> CustomKit:
    """Fill several slots otherwise at once, by slot code and key, or none of them.

    `swaps` are chosen; `follows` only follow from those and may follow others later on. What fills its
    slot already stays as it is, with its sizes and what was agreed.
    """
    _claim(kit, version)
    conversion, fills = read_kit(kit)
    for wanted, chosen in ((swaps, True), (follows or {}, False)):
        for slot_code, key in wanted.items():
            slot_id = _slot(conversion, slot_code).id
            if key == fills.get(slot_id, EMPTY).key:
                Fill.objects.filter(kit=kit, slot=slot_id).update(chosen=chosen)
            else:
                _fill(kit, conversion, fills, slot_code, key, own={}, agreed=agreed, chosen=chosen)
    kit.refresh_from_db()
    return kit


@act("kits.customise")
def let_follow(
    user: User,  # noqa: ARG001  # as in swap
    kit: CustomKit,
    slot_code: str,
    *,
    version: int | None = None,
) -> CustomKit:
    """What fills the slot stays, but is no longer insisted on: it may follow what is chosen elsewhere."""
    _claim(kit, version)
    conversion, _ = read_kit(kit)
    Fill.objects.filter(kit=kit, slot=_slot(conversion, slot_code).id).update(chosen=False)
    kit.refresh_from_db()
    return kit


def _fill(
    kit: CustomKit,
    conversion: Conversion,
    fills: Fills,
    slot_code: str,
    key: str,
    *,
    own: Mapping[str, str],
    agreed: str,
    chosen: bool,
) -> None:
    slot = _slot(conversion, slot_code)
    choice = _chosen(conversion, slot, key, fills.get(slot.id, EMPTY))
    _require_agreement(slot, choice, agreed)
    features = own_features(conversion, slot, choice.filling, own)
    _write(kit, slot, choice.filling, features, agreed.strip(), chosen)


def _slot(conversion: Conversion, slot_code: str) -> SlotRead:
    for slot in conversion.slots:
        if slot.code == slot_code:
            return slot
    raise ActError(
        f"{conversion.template} has no slot {slot_code!r}; its slots are: "
        f"{', '.join(slot.code for slot in conversion.slots)}.",
        code="no-such-slot",
        slots=[slot.code for slot in conversion.slots],
    )


def _claim(kit: CustomKit, version: int | None) -> None:
    """Count the version up if it is still the one that was seen; the row stays ours until the end."""
    seen = version
    if seen is None:
        seen = CustomKit.objects.values_list("version", flat=True).get(pk=kit.pk)
    if not CustomKit.objects.filter(pk=kit.pk, version=seen).update(version=F("version") + 1):
        raise Conflict(
            f"{kit.number} was changed by somebody else meanwhile. Look at it again, then swap.",
            code="version-moved-on",
            seen=seen,
        )


def _chosen(conversion: Conversion, slot: SlotRead, key: str, current: Filling) -> Choice:
    choices = choices_for(conversion, slot)
    if key in choices:
        return choices[key]
    if key == current.key:
        return Choice(current, key)
    if key in ("own", "reused", "left-out"):
        raise ActError(_why_not(slot, key), code="not-allowed-here", slot=slot.code, key=key)
    offered = [{"key": choice.key, "label": choice.label} for choice in choices.values()]
    raise ActError(
        f"Nothing called {key!r} may fill {slot.name}. What may: "
        f"{'; '.join(choice.label for choice in choices.values()) or 'nothing'}.",
        code="no-such-option",
        slot=slot.code,
        options=offered,
    )


def _why_not(slot: SlotRead, key: str) -> str:
    if key == "own":
        return f"{slot.name} has to come from the shop; a customer's own part is not provided for here."
    if key == "left-out":
        return f"{slot.name} must be filled; it cannot be left out."
    if slot.never_reuse:
        return f"Never re-use the engine's own {slot.name}: {slot.never_reuse}"
    return f"{slot.name} cannot be re-used from the engine: the conversion does not provide for it."


def _require_agreement(slot: SlotRead, choice: Choice, agreed: str) -> None:
    who = _AGREED_BY.get(Substitution.Agreement(agreement(choice) or "nobody"))
    if who is None or agreed.strip():
        return
    note = f" {choice.substitution.note}" if choice.substitution and choice.substitution.note else ""
    raise ActError(
        f"{choice.label} for {slot.name} needs {who} to agree.{note} Ask, then say who agreed and when.",
        code="agreement-needed",
        who=agreement(choice),
        slot=slot.code,
        key=choice.key,
    )


def _write(
    kit: CustomKit,
    slot: SlotRead,
    filling: Filling,
    features: list[OwnFeature],
    agreed: str,
    chosen: bool,
) -> None:
    """Replace the fill of one slot whole."""
    fill, _made = Fill.objects.update_or_create(
        kit=kit, slot=Slot(pk=slot.id), defaults={"how": filling.how, "agreed": agreed, "chosen": chosen}
    )
    fill.parts.all().delete()
    fill.own_features.all().delete()
    FillPart.objects.bulk_create(
        FillPart(fill=fill, part_id=part_id, quantity=quantity) for part_id, quantity in filling.parts
    )
    for feature in features:
        feature.fill = fill
        feature.save()
