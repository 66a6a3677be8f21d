"""Form fields of the catalogue desk: sizes as they stand on a drawing, never whole numbers of 10 nm."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError

from kits.fit import Band, FitError, Length
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


class CheckForm(_CheckForm):
    at_least = LengthField(required=False, widget=_WIDE, help_text="0.30 mm; empty for no lower limit.")
    at_most = LengthField(required=False, widget=_WIDE, help_text="0.60 mm; empty for no upper limit.")

    class Meta:
        model = Check
        fields = ("revision", "code", "kind", "name", "at_least", "at_most", "open_slot", "caution")


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
