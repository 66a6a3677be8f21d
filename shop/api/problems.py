"""What can go wrong, by stable code: the status it is answered with, its title, and what to do.

`/api/problems/` serves this list and every problem document's `type` points into it. A test keeps
the list whole: every code that an act gives is here.
"""

from collections.abc import Iterator
from dataclasses import dataclass

BASE = "/api/problems/"


@dataclass(frozen=True)
class Kind:
    """One kind of problem; `help` says what to do about it."""

    status: int
    title: str
    help: str


KINDS: dict[str, Kind] = {
    # The request itself.
    "bad-json": Kind(400, "The body is not JSON", "Send a JSON object with Content-Type: application/json."),
    "invalid": Kind(400, "The request does not fit", "Read `errors`: each field says what it wants."),
    "idempotency-key-missing": Kind(
        400,
        "An Idempotency-Key is missing",
        "Send the header Idempotency-Key with a fresh unique text, such as a UUID, for each new request; "
        "repeat the same key only to repeat the same request.",
    ),
    "not-signed-in": Kind(
        401, "Nobody is signed in", "POST username and password to /api/sign-in/, then send the token."
    ),
    "csrf-failed": Kind(
        403, "The browser's token is missing", "Send the csrftoken cookie as X-CSRFToken, or use a token."
    ),
    "not-allowed": Kind(403, "Your desk may not do this", "Ask the desk that does, or for the right."),
    "own-correction": Kind(403, "It is your own correction", "Have somebody else approve it."),
    "somebody-else-counts": Kind(403, "You counted this last", "Have somebody else count it again."),
    "not-found": Kind(404, "There is no such thing", "Check the id, code or number; addresses end with /."),
    "method-not-allowed": Kind(405, "Not possible here", "Use a method named in the Allow header."),
    "not-acceptable": Kind(
        406,
        "No such form of answer",
        "Accept one that the description of the address names, mostly application/json.",
    ),
    "media-type": Kind(415, "Not in this form", "Send Content-Type: application/json."),
    "too-many-requests": Kind(429, "Too many requests", "Wait as many seconds as Retry-After says."),
    # The state has moved on: it was possible a moment ago, or will be later.
    "conflict": Kind(409, "The state has moved on", "Read it again, then decide again."),
    "already-accepted": Kind(409, "The quote is an order already", "Work on the order that `order` names."),
    "already-cancelled": Kind(409, "The order is cancelled", "Nothing is left to do."),
    "already-held": Kind(409, "The quote is held already", "Accept it, or withdraw it."),
    "already-shipped": Kind(409, "The parcel is on its way", "Nothing is left to do."),
    "correction-waits": Kind(
        409, "A correction waits there", "Have the one that `correction` names approved or refused first."
    ),
    "counted-before-correction": Kind(409, "The ledger was corrected since", "Count it again."),
    "delivery-note-booked": Kind(409, "This delivery is booked", "Check the number on the delivery note."),
    "lapsed": Kind(409, "The hold has lapsed", "Hold again, or accept: what is still free is kept then."),
    "kit-changed": Kind(409, "The kit has been swapped since", "Quote the kit again, as it is now."),
    "not-held": Kind(409, "The quote is not held", "Hold it; what is still free is kept then."),
    "not-in-bins": Kind(409, "Something is not in its bin", "Put the named parts away first, or count them."),
    "not-on-the-bench": Kind(409, "Nothing of it lies on the bench", "Unpack it, or take it back."),
    "not-picked": Kind(409, "Not everything is picked", "Finish the walk first."),
    "not-ready": Kind(409, "An order is not ready to pick", "Leave out those that `orders` names."),
    "not-shipped": Kind(409, "The order is not shipped", "Cancel it: only what was shipped comes back."),
    "over-returned": Kind(
        409, "More would come back than went out", "Read `went_out` and `came_back`; book what is left."
    ),
    "quote-lapsed": Kind(409, "The quote is no longer valid", "Quote the kits again."),
    "short": Kind(
        409, "There is not enough stock", "Read `lines`: what is wanted, what is free, and from when."
    ),
    "unpacked": Kind(409, "The parcel was unpacked", "Pack the order again, and ship that parcel."),
    "replaced": Kind(409, "Another quote replaced it", "Work on the one that `quote` names."),
    "version-moved-on": Kind(
        409, "Somebody else changed it", "Read it again and repeat the change on what it is now."
    ),
    "lost": Kind(409, "The quote was lost", "Quote the kits again."),
    "nothing-awaited": Kind(409, "The order waits for nothing", "Cancel it without `not_in_time`."),
    "withdrawn": Kind(409, "The quote was withdrawn", "Quote the kits again."),
    "wrong-lot": Kind(409, "That is not the lot wanted", "Scan the lot or serial that the message names."),
    "wrong-part": Kind(
        409, "That is not the part wanted", "Put it back; read `wanted` and `place`, and scan the right one."
    ),
    # Refused business rules.
    "refused": Kind(422, "That is refused", "Read `detail`: it says why and what to do."),
    "agreement-needed": Kind(422, "Somebody has to agree", "Say in `agreed` who agreed, and when."),
    "bad-charges": Kind(422, "The charges cannot be", "Give an amount of money that the message allows."),
    "bad-cost": Kind(422, "The cost cannot be", "Give what it costs, or 0."),
    "bad-customer": Kind(422, "The customer cannot be written down", "Read `fields`."),
    "bad-hours": Kind(422, "A hold cannot last so long", "Give hours of 1 or more."),
    "bad-quantity": Kind(422, "The quantity cannot be", "Give a quantity within what the message says."),
    "bad-time": Kind(422, "It cannot have been counted then", "Give the time of the count, or none: now."),
    "bad-validity": Kind(422, "A quote cannot be valid so long", "Give days within what the message says."),
    "cannot-release": Kind(422, "The revision is not ready", "Mend what `problems` names, then release."),
    "carrier-needed": Kind(422, "Nobody carries the parcel", "Give the carrier's name."),
    "delivery-note-needed": Kind(422, "A delivery note is needed", "Give the number printed on it."),
    "due-is-past": Kind(422, "That day is past", "Give the day on which the delivery will come."),
    "does-not-go": Kind(422, "The kit does not go together", "Swap what `reasons` names, then quote again."),
    "idempotency-key-reused": Kind(
        422, "The Idempotency-Key belongs to another request", "Send a new key for a new request."
    ),
    "lot-needed": Kind(422, "A lot or serial is needed", "Scan the lot or serial number of each piece."),
    "made-of-itself": Kind(422, "It would be made of itself", "Choose a kit without the part in it."),
    "needs-work": Kind(422, "The kit needs shop work", "Choose parts that go without; `works` names it."),
    "never-on-this-engine": Kind(
        422, "Not possible on this engine", "Read `reason`; `instead` names what the shop offers."
    ),
    "no-bench": Kind(422, "There is no packing bench", "Have the catalogue desk add one."),
    "no-default": Kind(422, "A slot has no default", "Have the catalogue desk give the named slots one."),
    "no-dock": Kind(422, "There is no goods-in dock", "Have the catalogue desk add one."),
    "no-budget": Kind(422, "That is no budget", "Give an amount of at least 0, or leave it out."),
    "no-level": Kind(422, "Nobody can keep that level", "Order up to more than the stock at which to order."),
    "no-makeup": Kind(422, "It is not made up here", "Have the catalogue desk say what goes into it."),
    "no-offer": Kind(422, "Nobody sells it", "Have the catalogue desk add an offer, or leave it out."),
    "no-orders": Kind(422, "No order was chosen", "Name at least one order that is ready to pick."),
    "no-room": Kind(422, "The shelf does not hold so many", "Lower `up_to`, or raise `most`."),
    "no-share": Kind(422, "That is no share of kits", "Give a number above 0 and below 1, such as 0.95."),
    "no-such-check": Kind(422, "The kit has no such check", "Choose one of the kit's checks by its code."),
    "no-such-conversion": Kind(
        422, "Not released for this engine", "Open one of the templates that `offered` names."
    ),
    "no-such-feature": Kind(422, "No such size is asked for", "Give the sizes that the message names."),
    "no-such-kit": Kind(422, "The quote has no such kit", "Name one of its own kits by id."),
    "no-such-line": Kind(422, "The order has no such line", "Name lines of this purchase order by id."),
    "no-such-option": Kind(422, "That may not fill the slot", "Choose a candidate of the slot by `key`."),
    "no-such-part": Kind(422, "There is no such part", "Name parts by their ids."),
    "no-such-slot": Kind(422, "The kit has no such slot", "Choose one that `slots` names."),
    "not-a-place-here": Kind(422, "Not a place in the shop", "Name a bin, a dock or a bench."),
    "not-a-size": Kind(422, "That is no size", "Write it as the message says, with its unit."),
    "not-allowed-here": Kind(422, "The template does not allow it", "Read the reason; choose a candidate."),
    "not-offered": Kind(422, "The supplier does not sell it", "Ask another supplier for the named parts."),
    "not-own": Kind(422, "Sizes are for the customer's own part", "Leave `own` out for anything else."),
    "not-sold": Kind(422, "It did not go out with this order", "Name a part, and its lot, that did."),
    "not-whole-packs": Kind(422, "Not in whole packs", "Order the quantity that the message names."),
    "above-limit": Kind(403, "More than you may approve", "Ask whom the message names to approve it."),
    "not-approved": Kind(403, "It is not approved", "Have somebody who may approve it first."),
    "asked-today": Kind(422, "Asked for today already", "Ask again tomorrow."),
    "below-least": Kind(422, "Less than the supplier takes", "Add to it, or send `although_small`."),
    "no-address": Kind(422, "The supplier has no address", "Have an e-mail address added."),
    "note-needed": Kind(422, "A note is needed", "Say what is asked."),
    "ordered-already": Kind(422, "It is on the order already", "Change that line."),
    "nothing-moved": Kind(422, "Nothing would move", "Give a quantity of at least one."),
    "nothing-received": Kind(422, "Nothing came", "Name what came: at least one piece of one line."),
    "nothing-to-count": Kind(422, "There is nothing to count", "Name other places or parts."),
    "nothing-returned": Kind(422, "Nothing came back", "Name what came back: one piece at least."),
    "nothing-to-quote": Kind(422, "There is nothing to quote", "Open a kit, and put a part into it."),
    "nothing-wanted": Kind(422, "Nothing is wanted", "Name at least one thing, and at least one of it."),
    "over-delivered": Kind(422, "More came than was ordered", "Book what was ordered; send the rest back."),
    "reason-needed": Kind(422, "A reason is needed", "Say why; whoever looks back will ask."),
    "is-a-return": Kind(422, "That came back", "Mark the sale; what came back of it goes with it."),
    "unknown-reason": Kind(422, "No such reason", "Use one that the message names."),
    "unknown-condition": Kind(422, "No such condition", "Say good or spoilt."),
    "unknown-channel": Kind(422, "No such channel", "Use one that the message names."),
    "released-revision": Kind(422, "Released revisions never change", "Make a new revision; change that."),
    "too-far-ahead": Kind(422, "That day is too far ahead", "Look at the year."),
    "until-is-past": Kind(422, "That end is past", "Give a later end."),
    "wanted-on-is-past": Kind(422, "That day is past", "Give a day from today on, or none for at once."),
}


def kind_of(code: str, *, moved_on: bool = False) -> Kind:
    """The kind of this code; one that is not listed is a conflict if the state has `moved_on`."""
    return KINDS.get(code, KINDS["conflict" if moved_on else "refused"])


def listing() -> Iterator[dict[str, object]]:
    """Every kind as plain values, for /api/problems/."""
    for code, kind in KINDS.items():
        yield {
            "type": BASE + code,
            "code": code,
            "status": kind.status,
            "title": kind.title,
            "help": kind.help,
        }
