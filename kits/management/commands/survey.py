"""`manage.py survey belt-front`: what of a template no kit ever uses, on any of its engines."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from kits.models import TemplateRevision
from kits.surveying import survey


class Command(BaseCommand):
    help = "Lists engines without a whole kit, candidates that none has, and rules that never matter."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("template", help="The template's code, as in belt-front.")
        parser.add_argument("--revision", type=int, help="Its number; the newest where it is not given.")
        parser.add_argument("--json", action="store_true", help="The lists as JSON.")

    def handle(self, *_args: Any, template: str, revision: int | None, **options: Any) -> None:
        found = TemplateRevision.objects.filter(template__code=template).order_by("-number")
        wanted = found.filter(number=revision) if revision else found
        chosen = wanted.first()
        if chosen is None:
            known = ", ".join(str(one) for one in found) or "it has none; check the code"
            raise CommandError(f"There is no such revision of {template!r}: {known}.")
        seen = survey(chosen)
        if options["json"]:
            lists = {
                "engines_without_kit": seen.engines_without_kit,
                "idle_candidates": seen.idle_candidates,
                "idle_rules": seen.idle_rules,
            }
            self.stdout.write(json.dumps(lists, indent=2))
            return
        self.stdout.write(f"{chosen}, {chosen.engines.count()} engines")
        for sentence in seen.said or ("Every engine has a whole kit, and nothing is idle.",):
            self.stdout.write(f"  {sentence}")
