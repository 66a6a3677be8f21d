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
    "not-found": Kind(404, "There is no such thing", "Check the id, code or number; addresses end with /."),
    "method-not-allowed": Kind(405, "Not possible here", "Use a method named in the Allow header."),
    "not-acceptable": Kind(406, "No such form of answer", "Accept application/json."),
    "media-type": Kind(415, "Not in this form", "Send Content-Type: application/json."),
    "too-many-requests": Kind(429, "Too many requests", "Wait as many seconds as Retry-After says."),
    # The state has moved on, or never allowed it.
    "conflict": Kind(409, "The state has moved on", "Read it again, then decide again."),
    "short": Kind(
        409,
        "There is not enough stock",
        "Read `lines`: what is wanted, what is free, and from when.",
    ),
    "lapsed": Kind(409, "The hold has lapsed", "Hold again, or accept: what is still free is kept then."),
    "version-moved-on": Kind(
        409, "Somebody else changed it", "Read it again and repeat the change on what it is now."
    ),
    "wrong-part": Kind(
        409, "That is not the part wanted", "Put it back; read `wanted` and `place`, and scan the right one."
    ),
    "wrong-lot": Kind(409, "That is not the lot wanted", "Scan the lot or serial that the message names."),
    "not-in-bins": Kind(409, "Something is not in its bin", "Put the named parts away first, or count them."),
    "not-picked": Kind(409, "Not everything is picked", "Finish the walk first."),
    # Refused business rules.
    "refused": Kind(422, "That is refused", "Read `detail`: it says why and what to do."),
    "idempotency-key-reused": Kind(
        422, "The Idempotency-Key belongs to another request", "Send a new key for a new request."
    ),
    "never-on-this-engine": Kind(
        422, "Not possible on this engine", "Read `reason`; `instead` names what the shop offers."
    ),
    "no-such-conversion": Kind(
        422, "Not released for this engine", "Open one of the templates that the message names."
    ),
    "does-not-go": Kind(422, "The kit does not go together", "Swap what `reasons` names, then quote again."),
    "no-such-slot": Kind(422, "The kit has no such slot", "Read the kit's candidates for its slots."),
    "no-such-option": Kind(422, "That may not fill the slot", "Choose a candidate of the slot by `key`."),
    "not-allowed-here": Kind(422, "The template does not allow it", "Read the reason; choose a candidate."),
    "agreement-needed": Kind(422, "Somebody has to agree", "Say in `agreed` who agreed, and when."),
    "lot-needed": Kind(422, "A lot or serial is needed", "Scan the lot or serial number of each piece."),
    "cannot-release": Kind(422, "The revision is not ready", "Mend what `problems` names, then release."),
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
