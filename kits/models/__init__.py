"""The nouns of conversions: engines, features, templates, rules, checks and custom kits."""

from .checks import Check, CheckTerm, ShopWork
from .custom import CustomKit, Fill, FillPart, OwnFeature
from .engines import Engine, EngineAttribute, EngineFamily, EngineFeature, OriginalPart
from .features import Feature, FeatureKind, PartFeature
from .rules import Rule, RuleTerm
from .slots import Candidate, CandidatePart, Slot, Substitution
from .templates import FittingStep, KitTemplate, TemplateRevision

__all__ = [
    "Candidate",
    "CandidatePart",
    "Check",
    "CheckTerm",
    "CustomKit",
    "Engine",
    "EngineAttribute",
    "EngineFamily",
    "EngineFeature",
    "Feature",
    "FeatureKind",
    "Fill",
    "FillPart",
    "FittingStep",
    "KitTemplate",
    "OriginalPart",
    "OwnFeature",
    "PartFeature",
    "Rule",
    "RuleTerm",
    "ShopWork",
    "Slot",
    "Substitution",
    "TemplateRevision",
]
