"""Addresses under /api/: our nouns, plural."""

from django.urls import include, path, re_path
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerView
from rest_framework.permissions import AllowAny
from rest_framework.routers import SimpleRouter

from .views import (
    alerts,
    buying,
    catalogue,
    counting,
    custom_kits,
    customers,
    demand,
    entry,
    how_many,
    notices,
    orders,
    quotes,
    stock,
    store_room,
    supplying,
    targets,
    walks,
)

router = SimpleRouter()
router.register("engines", catalogue.Engines, "engine")
router.register("parts", catalogue.Parts, "part")
router.register("kit-templates", catalogue.Templates, "kit-template")
router.register("custom-kits", custom_kits.CustomKits, "custom-kit")
router.register("customers", customers.Customers, "customer")
router.register("quotes", quotes.Quotes, "quote")
router.register("orders", orders.Orders, "order")
router.register("parcels", orders.Parcels, "parcel")
router.register("demand", demand.DemandLines, "demand")
router.register("walks", walks.Walks, "walk")
router.register("alerts", alerts.Alerts, "alert")
router.register("purchase-orders", buying.PurchaseOrders, "purchase-order")
router.register("suggestions", supplying.Suggestions, "suggestion")
router.register("differences", supplying.Differences, "difference")
router.register("supplier-mails", supplying.SupplierMails, "supplier-mail")
router.register("count-rounds", counting.CountRounds, "count-round")
router.register("corrections", counting.Corrections, "correction")
router.register("notices", notices.Notices, "notice")
router.register("target-runs", targets.TargetRuns, "target-run")
router.register("targets", targets.Targets, "target")
router.register("stock", stock.Stock, "stock")
router.register("store-room", store_room.StoreRoom, "store-room")

app_name = "api"

_open = {"permission_classes": (AllowAny,)}

urlpatterns = [
    path("sign-in/", entry.SignIn.as_view(), name="sign-in"),
    path("problems/", entry.Problems.as_view(), name="problems"),
    path("problems/<slug:code>", entry.Problem.as_view(), name="problem"),
    path("schema/", SpectacularAPIView.as_view(**_open), name="schema"),
    path("docs/", SpectacularSwaggerView.as_view(**_open, url_name="api:schema"), name="docs"),
    path("how-many/", how_many.HowMany.as_view(), name="how-many"),
    path("", include(router.urls)),
    re_path("", entry.Nowhere.as_view()),
]
