"""What a template asks of its parts: checks and rules; and the fitting steps."""

from __future__ import annotations

from inventory.models import scan_key
from kits.fit import KINDS, FitError, Kind, kind_of
from kits.models import Check, CheckTerm, FittingStep, Rule, RuleTerm, Slot, TemplateRevision

from .known import Known, find
from .reading import Entry

_SLOTS = "this template's slots"
# How a file writes the links of a chain; every other term is written by its role.
_LINKS = {"add": 1, "take": -1}


def load_checks(file: Entry, revision: TemplateRevision, slots: dict[str, Slot], known: Known) -> None:
    """Each check with its terms, `{add: spacer thickness}`, `{take: engine nose-length}` and so on."""
    for entry in file.entries("checks"):
        entry.only("code", "kind", "name", "at_least", "at_most", "settings", "open_slot", "caution", "terms")
        kind = kind_of(entry.choice("kind", list(KINDS)))
        check = Check.objects.create(
            revision=revision,
            code=entry.text("code"),
            kind=kind.code,
            name=entry.text("name"),
            at_least=entry.length("at_least"),
            at_most=entry.length("at_most"),
            settings=_settings(entry, kind),
            open_slot=_slot(entry, "open_slot", slots),
            caution=entry.text("caution", ""),
        )
        terms = entry.entries("terms")
        if not terms:
            raise entry.wrong("terms", "a check adds up at least one feature; list its terms")
        CheckTerm.objects.bulk_create(
            _term(term, check, kind, place, slots, known) for place, term in enumerate(terms, start=1)
        )


def _settings(entry: Entry, kind: Kind) -> dict[str, str]:
    """`settings: {friction: "0.12"}`, each as text; what the kind cannot read is refused here."""
    settings = entry.entry("settings")
    given = {code: settings.text(code) for code in settings.data}
    try:
        kind.read_settings(given)
    except FitError as error:
        raise entry.wrong("settings", str(error)) from error
    return given


def _term(
    entry: Entry, check: Check, kind: Kind, sequence: int, slots: dict[str, Slot], known: Known
) -> CheckTerm:
    """`{bore: pulley bore}` in a role of fixed sign; `{add: ...}` or `{take: ...}` in one of either sign."""
    fixed = {role.code: role.sign for role in kind.roles if role.sign}
    free = [role.code for role in kind.roles if not role.sign]
    ways = {**(_LINKS if free else {}), **fixed}
    entry.only(*ways, "role", "reused", "times", "over")
    given = [way for way in ways if entry.has(way)]
    if len(given) != 1:
        raise entry.wrong("term", f"says {given or 'nothing'}; give exactly one of {', '.join(ways)}")
    way = given[0]
    owner, _, feature = entry.text(way).partition(" ")
    role, sign = (entry.choice("role", free, free[0]) if way in _LINKS else way), ways[way]
    return CheckTerm(
        of=check,
        sequence=sequence,
        role=role,
        slot=None if owner == "engine" else find(slots, entry, way, owner, _SLOTS),
        feature=known.kind(entry, way, feature),
        reused=known.kind(entry, "reused") if entry.has("reused") else None,
        sign=sign,
        times=entry.whole("times", 1),
        over=entry.whole("over", 1),
    )


def load_rules(file: Entry, revision: TemplateRevision, slots: dict[str, Slot], known: Known) -> None:
    """Each rule with its `when` and `then` terms."""
    for entry in file.entries("rules"):
        entry.only("code", "kind", "text", "instead", "when", "then")
        rule = Rule.objects.create(
            revision=revision,
            code=entry.text("code"),
            kind=entry.choice("kind", [str(v) for v in Rule.Kind.values]),
            text=entry.text("text"),
            instead=known.template(entry, "instead") if entry.has("instead") else None,
        )
        for side in (RuleTerm.Side.WHEN, RuleTerm.Side.THEN):
            RuleTerm.objects.bulk_create(
                _rule_term(term, rule, side, slots) for term in entry.entries(str(side.value))
            )


def _rule_term(entry: Entry, rule: Rule, side: RuleTerm.Side, slots: dict[str, Slot]) -> RuleTerm:
    """`{engine: keyway, is: [none]}`, or `{slot: belt, maker: [hoskerby]}`; `unless` turns it round."""
    entry.only("engine", "is", "slot", *RuleTerm.SLOT_NAMES, "unless")
    slot = _slot(entry, "slot", slots)
    if slot is None:
        name, values = entry.text("engine"), entry.names("is")
    else:
        name = next((name for name in RuleTerm.SLOT_NAMES if entry.has(name)), "")
        if not name:
            raise entry.wrong("slot", f"asks nothing of it; add one of {', '.join(RuleTerm.SLOT_NAMES)}")
        values = entry.names(name)
    if name == "part":
        values = [scan_key(value) for value in values]
    if not values:
        raise entry.wrong(name, "has no values; list at least one")
    return RuleTerm(rule=rule, side=side, slot=slot, name=name, unless=entry.flag("unless"), values=values)


def load_steps(file: Entry, revision: TemplateRevision, slots: dict[str, Slot]) -> None:
    """The fitting steps, in the order of the file."""
    steps = []
    for sequence, entry in enumerate(file.entries("steps"), start=1):
        entry.only("text", "slot", "way_round", "torque_nm", "torque_source", "caution")
        steps.append(
            FittingStep(
                revision=revision,
                sequence=sequence,
                slot=_slot(entry, "slot", slots),
                text=entry.text("text"),
                way_round=entry.text("way_round", ""),
                torque_nm=entry.money("torque_nm") if entry.has("torque_nm") else None,
                torque_source=entry.text("torque_source", ""),
                caution=entry.text("caution", ""),
            )
        )
    FittingStep.objects.bulk_create(steps)


def _slot(entry: Entry, field: str, slots: dict[str, Slot]) -> Slot | None:
    return find(slots, entry, field, entry.text(field), _SLOTS) if entry.has(field) else None
