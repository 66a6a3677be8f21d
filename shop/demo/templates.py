"""Kit templates with their slots, candidates and stand-ins; one file each."""

from __future__ import annotations

from kits.models import Candidate, CandidatePart, KitTemplate, Slot, Substitution, TemplateRevision

from .conditions import load_checks, load_rules, load_steps
from .known import Known
from .reading import Entry, read_folder


def load_templates(known: Known) -> list[TemplateRevision]:
    """Everything of the folder templates/, as drafts that are still to be released."""
    files = read_folder("templates")
    for file in files:  # First all of them: a rule may offer any of them instead.
        file.only("code", "name", "purpose", "revision", "hours", "engines", "slots", "checks", "rules",
                  "steps")  # fmt: skip
        template = KitTemplate.objects.create(
            code=file.text("code"), name=file.text("name"), purpose=file.text("purpose")
        )
        known.templates[template.code] = template
    return [_load_revision(file, known) for file in files]


def _load_revision(file: Entry, known: Known) -> TemplateRevision:
    revision = TemplateRevision.objects.create(
        template=known.template(file, "code"), number=file.whole("revision"), hours=file.money("hours")
    )
    revision.engines.set(known.engine(file, "engines", code) for code in file.names("engines"))
    slots: dict[str, Slot] = {}
    for position, entry in enumerate(file.entries("slots"), start=1):
        slot = _load_slot(entry, revision, position, known)
        slots[slot.code] = slot
    load_checks(file, revision, slots, known)
    load_rules(file, revision, slots, known)
    load_steps(file, revision, slots)
    return revision


def _load_slot(entry: Entry, revision: TemplateRevision, position: int, known: Known) -> Slot:
    entry.only("code", "name", "quantity", "required", "own_allowed", "reuse_allowed", "never_reuse",
               "candidates", "stand_ins")  # fmt: skip
    slot = Slot.objects.create(
        revision=revision,
        code=entry.text("code"),
        name=entry.text("name"),
        position=position,
        required=entry.flag("required", True),
        quantity=entry.whole("quantity", 1),
        own_allowed=entry.flag("own_allowed"),
        reuse_allowed=entry.flag("reuse_allowed"),
        never_reuse=entry.text("never_reuse", ""),
    )
    _load_candidates(entry, slot, known)
    for stand_in in entry.entries("stand_ins", named_by="stand_in"):
        _load_stand_in(stand_in, slot, known)
    return slot


def _load_candidates(entry: Entry, slot: Slot, known: Known) -> None:
    entries = entry.entries("candidates", named_by="part")
    candidates = Candidate.objects.bulk_create(
        _candidate(candidate, slot, rank, known) for rank, candidate in enumerate(entries, start=1)
    )
    CandidatePart.objects.bulk_create(
        CandidatePart(candidate=candidate, part=known.part(listed, "part", label))
        for listed, candidate in zip(entries, candidates, strict=True)
        for label in _listed(listed)
    )


def _candidate(entry: Entry, slot: Slot, rank: int, known: Known) -> Candidate:
    entry.only("part", "parts", "label", "default", "category", "feature", "from", "to")
    if not _listed(entry) and not entry.has("category"):
        raise entry.wrong("part", "a candidate names a part, parts, or a category; give one")
    return Candidate(
        slot=slot,
        rank=rank,
        is_default=entry.flag("default"),
        label=entry.text("label", ""),
        category=known.category(entry, "category") if entry.has("category") else None,
        feature=known.kind(entry, "feature") if entry.has("feature") else None,
        lo=entry.length("from"),
        hi=entry.length("to"),
    )


def _listed(entry: Entry) -> list[str]:
    """The parts that it names: one, or several that come together."""
    return [entry.text("part")] if entry.has("part") else entry.names("parts")


def _load_stand_in(entry: Entry, slot: Slot, known: Known) -> None:
    entry.only("standard", "stand_in", "replaces", "takes", "agreement", "pricing", "engines", "note")
    substitution = Substitution.objects.create(
        slot=slot,
        standard=known.part(entry, "standard"),
        stand_in=known.part(entry, "stand_in"),
        replaces=entry.whole("replaces", 1),
        takes=entry.whole("takes", 1),
        agreement=entry.choice("agreement", [str(v) for v in Substitution.Agreement.values]),
        pricing=entry.choice("pricing", [str(v) for v in Substitution.Pricing.values]),
        note=entry.text("note", ""),
    )
    substitution.engines.set(known.engine(entry, "engines", code) for code in entry.names("engines"))
