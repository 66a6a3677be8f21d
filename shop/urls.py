"""Every address of the shop: the desks, the catalogue admin, and /api/."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("admin/", admin.site.urls),
    path("api/", include("shop.api.urls")),
    path("", include("shop.desks.urls")),
]
