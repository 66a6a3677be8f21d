"""How the REST side behaves; its errors are made in shop/api/errors.py."""

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "rest_framework.authentication.TokenAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_PAGINATION_CLASS": "shop.api.pagination.Pages",
    "PAGE_SIZE": 50,
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_SCHEMA_CLASS": "shop.api.schema.Schema",
    "EXCEPTION_HANDLER": "shop.api.errors.handle",
    "COERCE_DECIMAL_TO_STRING": True,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}

SPECTACULAR_SETTINGS = {
    "TITLE": "Shimwright",
    "DESCRIPTION": "Engines, kits, quotes, orders, walks, stock and buying of a conversion-kit shop.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SCHEMA_PATH_PREFIX": "/api/",
    "COMPONENT_SPLIT_REQUEST": True,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
    # Many things have a state; each gets a name of its own.
    "ENUM_NAME_OVERRIDES": {
        "CorrectionState": "inventory.models.Correction.State",
        "CountLineState": "inventory.models.CountLine.State",
        "CountRoundState": "inventory.models.CountRound.State",
        "NoticeKind": "shop.models.Notice.Kind",
        "OrderState": "shop.models.Order.State",
        "PurchaseOrderState": "inventory.models.PurchaseOrder.State",
        "QuoteState": "shop.models.Quote.State",
        "ReservationKind": "inventory.models.Reservation.Kind",
        "ReservationState": "inventory.models.Reservation.State",
        "RushOrSwap": ["rush", "swap"],
        "WalkState": "inventory.models.Walk.State",
        "WholeKitState": ["possible", "measure first", "not possible", "not yet known"],
    },
}
