"""What the admin shows and never changes: the acts of the desks do, which keep its history."""

from typing import TYPE_CHECKING, Any

from django.contrib import admin

if TYPE_CHECKING:
    _Admin = admin.ModelAdmin[Any]
    _Inline = admin.TabularInline[Any, Any]
else:
    _Admin = admin.ModelAdmin
    _Inline = admin.TabularInline


class _ReadOnly:
    def has_add_permission(self, *_: Any, **__: Any) -> bool:
        return False

    def has_change_permission(self, *_: Any, **__: Any) -> bool:
        return False

    def has_delete_permission(self, *_: Any, **__: Any) -> bool:
        return False


class ReadOnlyAdmin(_ReadOnly, _Admin):
    pass


class ReadOnlyInline(_ReadOnly, _Inline):
    extra = 0
    can_delete = False
