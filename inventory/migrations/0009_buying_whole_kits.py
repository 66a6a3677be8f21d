"""Demand as it happens, targets by runs, more causes of alerts, approval, differences and letters."""

from decimal import Decimal

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("auth", "0012_alter_user_first_name_max_length"),
        ("inventory", "0008_keep_from_shelf"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="BuyingLimit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("most", models.DecimalField(decimal_places=2, max_digits=12)),
            ],
        ),
        migrations.CreateModel(
            name="Demand",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("day", models.DateField()),
                ("quantity", models.PositiveIntegerField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("kit", "out in a kit"),
                            ("loose", "sold by itself"),
                            ("work", "used by the workshop"),
                            ("lost", "asked for and not had"),
                            ("return", "came back"),
                        ],
                        max_length=6,
                    ),
                ),
                (
                    "one_off",
                    models.BooleanField(default=False, help_text="A large order that will not come again."),
                ),
                (
                    "kit",
                    models.CharField(blank=True, help_text="The code of the kit's template.", max_length=40),
                ),
                (
                    "kits",
                    models.PositiveSmallIntegerField(
                        default=0, help_text="How many kits these pieces went into."
                    ),
                ),
                ("reference", models.CharField(blank=True, max_length=40)),
            ],
            options={
                "verbose_name_plural": "demand",
                "ordering": ["day", "id"],
            },
        ),
        migrations.CreateModel(
            name="Difference",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("over", "more than ordered"),
                            ("short", "less than ordered"),
                            ("spoilt", "not fit for use"),
                            ("other", "something else than ordered"),
                        ],
                        max_length=6,
                    ),
                ),
                ("quantity", models.PositiveIntegerField()),
                ("note", models.CharField(max_length=200)),
                ("at", models.DateTimeField()),
                ("settled_at", models.DateTimeField(blank=True, null=True)),
                ("settled_how", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="PriceBreak",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "at_least",
                    models.PositiveIntegerField(
                        help_text="From this quantity on each piece costs the price."
                    ),
                ),
                ("price", models.DecimalField(decimal_places=2, max_digits=10)),
            ],
            options={
                "ordering": ["offer", "at_least"],
            },
        ),
        migrations.CreateModel(
            name="Reminder",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField()),
                ("note", models.CharField(max_length=200)),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="SupplierMail",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "about",
                    models.CharField(
                        choices=[("order", "an order"), ("reminder", "a reminder")],
                        default="order",
                        max_length=8,
                    ),
                ),
                ("to", models.EmailField(max_length=254)),
                ("subject", models.CharField(max_length=200)),
                ("body", models.TextField()),
                ("message_id", models.CharField(max_length=120, unique=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "waits to be sent"),
                            ("sending", "is being sent"),
                            ("sent", "sent"),
                            ("failed", "refused"),
                        ],
                        default="waiting",
                        max_length=7,
                    ),
                ),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("tried_at", models.DateTimeField(blank=True, null=True)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("answer", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="TargetRun",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("started_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "stage",
                    models.CharField(
                        choices=[
                            ("parts", "reckons the parts"),
                            ("kits", "reckons the kits"),
                            ("done", "done"),
                            ("failed", "stopped by an error"),
                        ],
                        default="parts",
                        max_length=6,
                    ),
                ),
                ("parts", models.PositiveIntegerField(default=0, help_text="How many there are to reckon.")),
                ("parts_done", models.PositiveIntegerField(default=0)),
                (
                    "wanted",
                    models.DecimalField(
                        decimal_places=4,
                        help_text="The share of kits to ship complete from stock.",
                        max_digits=5,
                    ),
                ),
                (
                    "budget",
                    models.DecimalField(
                        blank=True,
                        decimal_places=2,
                        help_text="Or the money to tie up at most.",
                        max_digits=12,
                        null=True,
                    ),
                ),
                ("reached", models.DecimalField(blank=True, decimal_places=4, max_digits=5, null=True)),
                ("tied_up", models.DecimalField(blank=True, decimal_places=2, max_digits=14, null=True)),
                (
                    "frontier",
                    models.JSONField(default=list, help_text="Pairs: money tied up, share of kits complete."),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="Webhook",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("url", models.URLField(unique=True)),
                (
                    "secret",
                    models.CharField(help_text="whsec_ and 24 to 64 bytes in base64.", max_length=100),
                ),
                ("active", models.BooleanField(default=True)),
                ("made_at", models.DateTimeField(auto_now_add=True)),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="WebhookMessage",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "name",
                    models.CharField(
                        help_text="The same for every try: the webhook-id header.", max_length=40
                    ),
                ),
                ("body", models.JSONField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("due", "to be delivered"),
                            ("delivered", "delivered"),
                            ("given up", "given up"),
                        ],
                        default="due",
                        max_length=9,
                    ),
                ),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("next_try", models.DateTimeField()),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                (
                    "answer",
                    models.CharField(blank=True, help_text="What came of the last try.", max_length=200),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.AlterModelOptions(
            name="purchaseorder",
            options={
                "ordering": ["-id"],
                "permissions": [
                    ("buy", "Can order from suppliers"),
                    ("approve_orders", "Can approve orders to suppliers, up to the limit of the role"),
                ],
            },
        ),
        migrations.RemoveConstraint(
            model_name="alert",
            name="one_open_alert_per_cause",
        ),
        migrations.RemoveConstraint(
            model_name="alert",
            name="alert_asks_for_something",
        ),
        migrations.RemoveConstraint(
            model_name="purchaseline",
            name="purchase_line_buys_something",
        ),
        migrations.RemoveConstraint(
            model_name="purchaseorder",
            name="purchase_order_sent_has_a_time",
        ),
        migrations.RemoveConstraint(
            model_name="target",
            name="target_up_to_above_reorder",
        ),
        migrations.AddField(
            model_name="alert",
            name="about",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        migrations.AddField(
            model_name="alert",
            name="cost_to_wait",
            field=models.DecimalField(decimal_places=2, default=0, max_digits=12),
        ),
        migrations.AddField(
            model_name="alert",
            name="hits_on",
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="alert",
            name="mailed_at",
            field=models.DateTimeField(blank=True, help_text="When it was in a digest.", null=True),
        ),
        migrations.AddField(
            model_name="alert",
            name="purchase_line",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="alerts",
                to="inventory.purchaseline",
            ),
        ),
        migrations.AddField(
            model_name="alert",
            name="reservation",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="alerts",
                to="inventory.reservation",
            ),
        ),
        migrations.AddField(
            model_name="alert",
            name="snooze_reason",
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name="alert",
            name="snoozed_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="alert",
            name="snoozed_until",
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="purchaseline",
            name="ordered",
            field=models.PositiveIntegerField(blank=True, help_text="As it was when it was sent.", null=True),
        ),
        migrations.AddField(
            model_name="purchaseorder",
            name="carriage",
            field=models.DecimalField(
                blank=True,
                decimal_places=2,
                help_text="As it was when it was sent.",
                max_digits=10,
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="purchaseorder",
            name="approved_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="purchaseorder",
            name="approved_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="purchaseorder",
            name="send_by",
            field=models.DateField(blank=True, help_text="Sent later, something comes too late.", null=True),
        ),
        migrations.AddField(
            model_name="supplier",
            name="carriage",
            field=models.DecimalField(
                decimal_places=2,
                default=Decimal("0"),
                help_text="What they charge to deliver an order.",
                max_digits=10,
            ),
        ),
        migrations.AddField(
            model_name="supplier",
            name="free_carriage_from",
            field=models.DecimalField(
                blank=True,
                decimal_places=2,
                help_text="And from which total they do not.",
                max_digits=10,
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="supplier",
            name="least_value",
            field=models.DecimalField(
                decimal_places=2,
                default=Decimal("0"),
                help_text="They take no order below this total.",
                max_digits=10,
            ),
        ),
        migrations.AddField(
            model_name="supplier",
            name="review_days",
            field=models.PositiveSmallIntegerField(
                default=7, help_text="We order from them every so many days."
            ),
        ),
        migrations.AddField(
            model_name="target",
            name="figures",
            field=models.JSONField(blank=True, default=dict),
        ),
        migrations.AddField(
            model_name="target",
            name="most",
            field=models.PositiveIntegerField(blank=True, help_text="As many as the shelf takes.", null=True),
        ),
        migrations.AddField(
            model_name="target",
            name="set_by",
            field=models.CharField(
                choices=[
                    ("hand", "by hand"),
                    ("part", "for this part by itself"),
                    ("kits", "for whole kits"),
                ],
                default="hand",
                max_length=4,
            ),
        ),
        migrations.AlterField(
            model_name="alert",
            name="cause",
            field=models.CharField(
                choices=[
                    ("below target", "below target"),
                    ("order waits", "an order waits"),
                    ("runs out", "runs out before more comes"),
                    ("late line", "a late delivery starves an order"),
                    ("hold at risk", "what a quote holds may not come in time"),
                    ("dead stock", "lies here and is not asked for"),
                    ("price break", "more at once costs less"),
                ],
                max_length=12,
            ),
        ),
        migrations.AlterField(
            model_name="purchaseorder",
            name="state",
            field=models.CharField(
                choices=[
                    ("draft", "draft"),
                    ("approved", "approved"),
                    ("sent", "sent"),
                    ("closed", "closed"),
                ],
                default="draft",
                max_length=8,
            ),
        ),
        migrations.AddConstraint(
            model_name="alert",
            constraint=models.UniqueConstraint(
                condition=models.Q(("cleared_at__isnull", True)),
                fields=("part", "cause", "about"),
                name="one_open_alert_per_cause",
            ),
        ),
        migrations.AddConstraint(
            model_name="alert",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("quantity__gt", 0),
                    models.Q(("cause__in", ["below target", "order waits"]), _negated=True),
                    _connector="OR",
                ),
                name="alert_asks_for_something",
            ),
        ),
        migrations.AddConstraint(
            model_name="alert",
            constraint=models.CheckConstraint(
                condition=models.Q(("cost_to_wait__gte", 0)), name="waiting_costs_not_less_than_none"
            ),
        ),
        migrations.AddConstraint(
            model_name="alert",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("snooze_reason", ""), ("snoozed_by__isnull", True), ("snoozed_until__isnull", True)
                    ),
                    models.Q(
                        ("snoozed_by__isnull", False),
                        ("snoozed_until__isnull", False),
                        models.Q(("snooze_reason", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="alert_is_snoozed_by_somebody_for_a_reason",
            ),
        ),
        migrations.AddConstraint(
            model_name="purchaseline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("quantity__gt", 0),
                    models.Q(("ordered__gt", 0), ("ordered__isnull", False)),
                    _connector="OR",
                ),
                name="purchase_line_buys_something",
            ),
        ),
        migrations.AddConstraint(
            model_name="purchaseorder",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("sent_at__isnull", True), ("state__in", ["draft", "approved"])),
                    models.Q(("sent_at__isnull", False), ("state__in", ["sent", "closed"])),
                    _connector="OR",
                ),
                name="purchase_order_sent_has_a_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="purchaseorder",
            constraint=models.CheckConstraint(
                condition=models.Q(("carriage__isnull", True), ("carriage__gte", 0), _connector="OR"),
                name="purchase_carriage_not_negative",
            ),
        ),
        migrations.AddConstraint(
            model_name="supplier",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("carriage__gte", 0),
                    ("least_value__gte", 0),
                    models.Q(
                        ("free_carriage_from__isnull", True), ("free_carriage_from__gte", 0), _connector="OR"
                    ),
                ),
                name="supplier_terms_not_negative",
            ),
        ),
        migrations.AddConstraint(
            model_name="supplier",
            constraint=models.CheckConstraint(
                condition=models.Q(("review_days__gt", 0)), name="supplier_is_ordered_from_on_days"
            ),
        ),
        migrations.AddField(
            model_name="buyinglimit",
            name="group",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.CASCADE, related_name="buying_limit", to="auth.group"
            ),
        ),
        migrations.AddField(
            model_name="demand",
            name="first_choice",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="stood_in_for",
                to="inventory.part",
            ),
        ),
        migrations.AddField(
            model_name="demand",
            name="part",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="asked_for",
                to="inventory.part",
            ),
        ),
        migrations.AddField(
            model_name="difference",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="difference",
            name="line",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="differences",
                to="inventory.purchaseline",
            ),
        ),
        migrations.AddField(
            model_name="difference",
            name="receipt",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="differences",
                to="inventory.receipt",
            ),
        ),
        migrations.AddField(
            model_name="difference",
            name="settled_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="pricebreak",
            name="offer",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="breaks", to="inventory.offer"
            ),
        ),
        migrations.AddField(
            model_name="reminder",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="reminder",
            name="line",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="reminders",
                to="inventory.purchaseline",
            ),
        ),
        migrations.AddField(
            model_name="suppliermail",
            name="order",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="mails",
                to="inventory.purchaseorder",
            ),
        ),
        migrations.AddField(
            model_name="targetrun",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="target",
            name="run",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="targets",
                to="inventory.targetrun",
            ),
        ),
        migrations.AddConstraint(
            model_name="target",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("up_to__gt", models.F("reorder_at")),
                    models.Q(("reorder_at", 0), ("up_to", 0)),
                    _connector="OR",
                ),
                name="target_up_to_above_reorder",
            ),
        ),
        migrations.AddConstraint(
            model_name="target",
            constraint=models.CheckConstraint(
                condition=models.Q(("set_by", "hand"), ("run__isnull", False), _connector="OR"),
                name="target_reckoned_by_a_run",
            ),
        ),
        migrations.AddConstraint(
            model_name="webhook",
            constraint=models.CheckConstraint(
                condition=models.Q(("secret__startswith", "whsec_")), name="webhook_secret_is_one"
            ),
        ),
        migrations.AddField(
            model_name="webhookmessage",
            name="webhook",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="messages", to="inventory.webhook"
            ),
        ),
        migrations.AddConstraint(
            model_name="buyinglimit",
            constraint=models.CheckConstraint(
                condition=models.Q(("most__gte", Decimal("0"))), name="buying_limit_not_negative"
            ),
        ),
        migrations.AddIndex(
            model_name="demand",
            index=models.Index(fields=["part", "day"], name="demand_by_part_and_day"),
        ),
        migrations.AddIndex(
            model_name="demand",
            index=models.Index(fields=["day"], name="demand_by_day"),
        ),
        migrations.AddIndex(
            model_name="demand",
            index=models.Index(fields=["reference"], name="demand_by_reference"),
        ),
        migrations.AddConstraint(
            model_name="demand",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity__gt", 0)), name="demand_asks_for_something"
            ),
        ),
        migrations.AddConstraint(
            model_name="demand",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kit", ""), ("kits", 0)),
                    models.Q(models.Q(("kit", ""), _negated=True), ("kits__gt", 0)),
                    _connector="OR",
                ),
                name="demand_of_a_kit_counts_kits",
            ),
        ),
        migrations.AddConstraint(
            model_name="demand",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "kit"), _negated=True),
                    models.Q(("kit", ""), _negated=True),
                    _connector="OR",
                ),
                name="demand_in_a_kit_names_the_kit",
            ),
        ),
        migrations.AddConstraint(
            model_name="demand",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("first_choice__isnull", True),
                    models.Q(("first_choice", models.F("part")), _negated=True),
                    _connector="OR",
                ),
                name="demand_stands_in_for_another",
            ),
        ),
        migrations.AddConstraint(
            model_name="difference",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity__gt", 0)), name="difference_is_one"
            ),
        ),
        migrations.AddConstraint(
            model_name="difference",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("settled_at__isnull", True), ("settled_by__isnull", True), ("settled_how", "")),
                    models.Q(
                        ("settled_at__isnull", False),
                        ("settled_by__isnull", False),
                        models.Q(("settled_how", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="difference_is_settled_by_somebody_somehow",
            ),
        ),
        migrations.AddConstraint(
            model_name="pricebreak",
            constraint=models.UniqueConstraint(fields=("offer", "at_least"), name="one_price_per_quantity"),
        ),
        migrations.AddConstraint(
            model_name="pricebreak",
            constraint=models.CheckConstraint(
                condition=models.Q(("at_least__gt", 1), ("price__gte", 0)), name="price_break_is_one"
            ),
        ),
        migrations.AddConstraint(
            model_name="suppliermail",
            constraint=models.UniqueConstraint(
                condition=models.Q(("about", "order")),
                fields=("order",),
                name="one_letter_per_purchase_order",
            ),
        ),
        migrations.AddConstraint(
            model_name="suppliermail",
            constraint=models.CheckConstraint(
                condition=models.Q(("state", "waiting"), ("tried_at__isnull", False), _connector="OR"),
                name="a_letter_tried_has_a_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="targetrun",
            constraint=models.CheckConstraint(
                condition=models.Q(("wanted__gt", 0), ("wanted__lt", 1)), name="target_run_wants_a_share"
            ),
        ),
        migrations.AddConstraint(
            model_name="targetrun",
            constraint=models.CheckConstraint(
                condition=models.Q(("parts_done__lte", models.F("parts"))),
                name="target_run_does_no_more_than_all",
            ),
        ),
        migrations.AddConstraint(
            model_name="targetrun",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("ended_at__isnull", True), ("stage__in", ["parts", "kits"])),
                    models.Q(("ended_at__isnull", False), ("stage__in", ["done", "failed"])),
                    _connector="OR",
                ),
                name="target_run_ends_when_done",
            ),
        ),
        migrations.AddConstraint(
            model_name="targetrun",
            constraint=models.UniqueConstraint(
                condition=models.Q(("stage", "parts")), fields=("stage",), name="one_target_run_at_parts"
            ),
        ),
        migrations.AddConstraint(
            model_name="targetrun",
            constraint=models.UniqueConstraint(
                condition=models.Q(("stage", "kits")), fields=("stage",), name="one_target_run_at_kits"
            ),
        ),
        migrations.AddIndex(
            model_name="webhookmessage",
            index=models.Index(
                condition=models.Q(("state", "due")), fields=["next_try"], name="webhook_messages_due"
            ),
        ),
        migrations.AddConstraint(
            model_name="webhookmessage",
            constraint=models.UniqueConstraint(fields=("webhook", "name"), name="webhook_message_once"),
        ),
    ]
