"""A wrong part is said of its own slot and of those that it does not go with, not of every neighbour."""

from datetime import date

from kits.choices import choices_for
from kits.fit import Verdict
from kits.whatif import WhatIf

from .benching import conversion_of, key_of, slot_named


def test_a_wrong_thread_is_said_of_the_bolt_and_not_of_what_it_clamps(shop: date) -> None:
    conversion = conversion_of("belt-front", "HED-11")
    bolt = slot_named(conversion, "nose-bolt")
    wrong = choices_for(conversion, bolt)[key_of("drossett DF-12-030-M")].filling
    whatif = WhatIf(conversion, {**conversion.default_fills(), bolt.id: wrong})
    verdicts = {
        code: whatif.swapped(slot, whatif.fills[slot.id]).verdict
        for code in ("nose-bolt", "spacer", "nose-washer", "crank-pulley")
        for slot in [slot_named(conversion, code)]
    }
    assert verdicts == {
        "nose-bolt": Verdict.DOES_NOT_GO,
        "spacer": Verdict.GOES_TOGETHER,
        "nose-washer": Verdict.GOES_TOGETHER,
        "crank-pulley": Verdict.GOES_TOGETHER,
    }
    said = whatif.swapped(bolt, wrong).reasons
    assert said[0].startswith("Wrong thread.")


def test_a_bolt_too_short_is_said_of_what_it_clamps_too(shop: date) -> None:
    conversion = conversion_of("belt-front", "HED-11")
    bolt, spacer = slot_named(conversion, "nose-bolt"), slot_named(conversion, "spacer")
    short = choices_for(conversion, bolt)[key_of("drossett DF-12-020-S")].filling
    whatif = WhatIf(conversion, {**conversion.default_fills(), bolt.id: short})
    said = whatif.swapped(spacer, whatif.fills[spacer.id])
    assert said.verdict is Verdict.DOES_NOT_GO and said.reasons[0].startswith("Too short.")
