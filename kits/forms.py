"""Form fields of the catalogue desk: sizes as they stand on a drawing, never whole numbers of 10 nm."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError

from kits.fit import KINDS, Band, FitError, Length, fit_of
from kits.models import Candidate, Check, Feature, FeatureKind, ShopWork
from kits.owning import read_feature

if TYPE_CHECKING:
    _FeatureForm = forms.ModelForm[Feature]
    _CheckForm = forms.ModelForm[Check]
    _ShopWorkForm = forms.ModelForm[ShopWork]
    _CandidateForm = forms.ModelForm[Candidate]
else:
    _FeatureForm = _CheckForm = _ShopWorkForm = _CandidateForm = forms.ModelForm

_WIDE = forms.TextInput(attrs={"size": 28})


class LengthField(forms.CharField):
    """A length such as '0.30 mm' or '12 thou'; its value is the stored whole number, or None."""

    def prepare_value(self, value: Any) -> Any:
        return str(Length(value)) if isinstance(value, int) else value

    def to_python(self, value: Any) -> Any:
        said = super().to_python(value)
        if not said:
            return None
        try:
            return Length.parse(said).units
        except FitError as error:
            raise ValidationError(str(error), code="not-a-length") from error


class BandField(forms.CharField):
    """A size such as '19.05 +0.02/-0.00 mm' or '25 H7'; its value is a Band, or None."""

    def prepare_value(self, value: Any) -> Any:
        return str(value) if isinstance(value, Band) else value

    def to_python(self, value: Any) -> Any:
        said = super().to_python(value)
        if not said:
            return None
        try:
            return Band.parse(said)
        except FitError as error:
            raise ValidationError(str(error), code="not-a-size") from error


class FeatureForm(_FeatureForm):
    """One feature in one text; what the text means depends on the kind of feature."""

    size = forms.CharField(
        required=False,
        widget=_WIDE,
        help_text="19.05 +0.02/-0.00 mm, 0.7495..0.7500 in, 25 H7; empty: unknown.",
    )
    field_order = ("kind", "size", "source")

    class Meta:
        fields = ("kind", "source")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["size"] = self.fields["size"].initial = as_text(self.instance)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        kind, said = cleaned.get("kind"), cleaned.get("size", "").strip()
        if kind is None:
            return cleaned
        lo, hi, designation = None, None, ""
        if said:
            try:
                lo, hi, designation = read_feature(kind, said)
            except FitError as error:
                self.add_error("size", str(error))
        unknown = cleaned.get("source") == Feature.Source.UNKNOWN
        if unknown and said:
            self.add_error("source", "A size of unknown source is no size; say where it comes from.")
        if not unknown and not said:
            self.add_error("size", "Give the size, or say that its source is unknown.")
        self.instance.lo, self.instance.hi, self.instance.text = lo, hi, designation
        return cleaned


def as_text(feature: Feature) -> str:
    """A stored feature as it is typed."""
    if feature.text or feature.lo is None:
        return feature.text
    if feature.kind.quantity == FeatureKind.Quantity.LENGTH:
        return str(feature.band)
    if feature.kind.quantity == FeatureKind.Quantity.RATING:
        return f"{(Decimal(feature.lo) / 1000).normalize():f} {feature.kind.unit}".strip()
    return str(feature.lo)


class SettingsField(forms.CharField):
    """A figure a line, 'friction: 0.12'; its value is a mapping of texts."""

    widget = forms.Textarea(attrs={"rows": 3, "cols": 28})

    def prepare_value(self, value: Any) -> Any:
        return (
            "\n".join(f"{code}: {text}" for code, text in value.items()) if isinstance(value, dict) else value
        )

    def to_python(self, value: Any) -> Any:
        settings: dict[str, str] = {}
        for line in str(value or "").splitlines():
            code, colon, text = (piece.strip() for piece in line.partition(":"))
            if line.strip() and not (code and colon and text):
                raise ValidationError(
                    f"{line.strip()!r} is no setting; write it as in friction: 0.12", code="not-a-setting"
                )
            if code in settings:
                raise ValidationError(f"{code} is set twice; leave one of them", code="set-twice")
            if code:
                settings[code] = text
        return settings

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(super().has_changed(self.prepare_value(initial), data))


def _settings_help() -> str:
    named = [
        f"{kind.name}: {', '.join(setting.code for setting in kind.settings)}"
        for kind in KINDS.values()
        if kind.settings
    ]
    return "One a line, as in friction: 0.12. " + "; ".join(named) + "."


class CheckForm(_CheckForm):
    at_least = LengthField(required=False, widget=_WIDE, help_text="0.30 mm; empty for no lower limit.")
    at_most = LengthField(required=False, widget=_WIDE, help_text="0.60 mm; empty for no upper limit.")
    as_fit = forms.CharField(
        required=False, widget=_WIDE, help_text="For a bore and shaft, instead of both limits: 25 H7/p6."
    )
    settings = SettingsField(required=False, help_text=_settings_help())
    field_order = ("revision", "code", "kind", "name", "at_least", "at_most", "as_fit")

    class Meta:
        model = Check
        fields = (
            "revision",
            "code",
            "kind",
            "name",
            "at_least",
            "at_most",
            "settings",
            "open_slot",
            "caution",
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if fit := cleaned.get("as_fit", "").strip():
            self._read_fit(fit, cleaned)
        kind = KINDS.get(cleaned.get("kind", ""))
        if kind is not None and "settings" in cleaned:
            try:
                kind.read_settings(cleaned["settings"])
            except FitError as error:
                self.add_error("settings", str(error))
        return cleaned

    def _read_fit(self, fit: str, cleaned: dict[str, Any]) -> None:
        if cleaned.get("at_least") is not None or cleaned.get("at_most") is not None:
            self.add_error("as_fit", "Give the limits or the fit, not both.")
            return
        try:
            clearance = fit_of(fit).clearance
        except FitError as error:
            self.add_error("as_fit", str(error))
            return
        cleaned["at_least"], cleaned["at_most"] = clearance.lo.units, clearance.hi.units


class ShopWorkForm(_ShopWorkForm):
    most = LengthField(widget=_WIDE, help_text="The most that may be taken off: 0.40 mm.")
    keeps = LengthField(widget=_WIDE, help_text="Plus or minus that the work keeps: 0.02 mm.")

    class Meta:
        model = ShopWork
        fields = (
            "code", "name", "category", "feature", "lowers", "most", "keeps", "price", "minutes", "done_by",
        )  # fmt: skip


class CandidateForm(_CandidateForm):
    """The band of a selection by feature in one text."""

    band = BandField(required=False, widget=_WIDE, help_text="For a selection: 2.0..6.0 mm.")

    class Meta:
        model = Candidate
        fields = ("slot", "rank", "is_default", "label", "category", "feature")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lo, hi = self.instance.lo, self.instance.hi
        if lo is not None and hi is not None:
            self.initial["band"] = Band(Length(lo), Length(hi))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        band = cleaned.get("band")
        if "band" in cleaned and (band is None) != (cleaned.get("feature") is None):
            self.add_error("band", "A selection by feature has both the feature and the band; or neither.")
        self.instance.lo = band.lo.units if band else None
        self.instance.hi = band.hi.units if band else None
        return cleaned
