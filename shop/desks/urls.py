"""The addresses of the pages. Names are flat: one page, one name."""

from django.contrib.auth.views import LogoutView
from django.urls import path

from .buying import corrections
from .buying import views as buying
from .counter import views as counter
from .entrance import Desks, SignIn
from .floor import counts
from .floor import views as floor
from .how_many import HowMany
from .making_up import MakingUp
from .papers import Paper
from .planning import kit_files, kit_targets, part_files, part_plan
from .stock import PartHistoryFile, PartSheet, StockSearch
from .stock_value import StockValue, StockValueFile

urlpatterns = [
    path("", Desks.as_view(), name="desks"),
    path("sign-in/", SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("counter/", counter.Counter.as_view(), name="counter"),
    path("counter/engines/<str:code>/", counter.EngineSheet.as_view(), name="engine"),
    path("counter/kits/<int:pk>/", counter.KitSheet.as_view(), name="kit"),
    path("counter/kits/<int:pk>/slots/<str:code>/", counter.KitSlot.as_view(), name="kit-slot"),
    path("counter/kits/<int:pk>/in-the-way/", counter.InTheWay.as_view(), name="kit-in-the-way"),
    path("counter/kits/<int:pk>/quote/", counter.KitQuote.as_view(), name="kit-quote"),
    path("counter/quotes/<int:pk>/", counter.QuoteSheet.as_view(), name="quote"),
    path("counter/orders/<int:pk>/", counter.OrderSheet.as_view(), name="order"),
    path("floor/", floor.Floor.as_view(), name="floor"),
    path("floor/walks/<int:pk>/", floor.WalkSheet.as_view(), name="walk"),
    path("floor/orders/<int:pk>/", floor.Packing.as_view(), name="packing"),
    path("floor/counts/", counts.CountRounds.as_view(), name="counts"),
    path("floor/counts/<int:pk>/", counts.CountSheet.as_view(), name="count-round"),
    path("corrections/", corrections.Corrections.as_view(), name="corrections"),
    path("goods-in/", buying.GoodsIn.as_view(), name="goods-in"),
    path("buying/", buying.Buying.as_view(), name="buying"),
    path("buying/<slug:name>.csv", buying.BuyingFile.as_view(), name="buying-file"),
    path("buying/orders/<int:pk>/", buying.PurchaseSheet.as_view(), name="purchase"),
    path("buying/orders/<int:pk>/order.<slug:kind>", buying.PurchasePaper.as_view(), name="purchase-paper"),
    path("buying/kits/", kit_targets.KitTargets.as_view(), name="kit-targets"),
    path("buying/kits/<slug:what>.csv", kit_files.KitTargetsFile.as_view(), name="kit-targets-file"),
    path("buying/kits/frontier.svg", kit_files.KitTargetsDrawing.as_view(), name="kit-targets-drawing"),
    path("papers/<slug:name>/<int:pk>/", Paper.as_view(), name="paper"),
    path("stock/", StockSearch.as_view(), name="stock"),
    path("stock/how-many/", HowMany.as_view(), name="how-many"),
    path("stock/value/", StockValue.as_view(), name="stock-value"),
    path("stock/value.csv", StockValueFile.as_view(), name="stock-value-file"),
    path("stock/<int:pk>/", PartSheet.as_view(), name="part"),
    path("stock/<int:pk>/history.csv", PartHistoryFile.as_view(), name="part-history"),
    path("stock/<int:pk>/plan/", part_plan.PartPlan.as_view(), name="part-plan"),
    path("stock/<int:pk>/plan/<slug:what>.csv", part_files.PartPlanFile.as_view(), name="part-plan-file"),
    path(
        "stock/<int:pk>/plan/<slug:what>.svg", part_files.PartPlanDrawing.as_view(), name="part-plan-drawing"
    ),
    path("stock/<int:pk>/make-up/", MakingUp.as_view(), name="make-up"),
]
