"""The sheet of an order that was sent: what comes otherwise than ordered, is late, or does not come."""

from datetime import timedelta

from django.utils import timezone

from inventory import buying
from inventory.models import (
    Difference,
    PurchaseLine,
    Receipt,
    Reminder,
)
from tests.shop.api.stages import Stages
from tests.shop.desks.buying_desk import (
    DESK,
    address,
    checked,
    kept,
    post,
)
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import said


def came(line: PurchaseLine, pieces: int, **typed: str) -> dict[str, str]:
    return {"delivery_note": "DN 7", f"quantity-{line.pk}": str(pieces), **typed}


def test_a_part_of_it_comes_and_the_rest_is_still_expected(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    browser = at("floor")
    assert "DN 7 is booked" in said(post(browser, order, "receive", **came(line, 2)))
    line.refresh_from_db()
    order.refresh_from_db()
    assert (line.received, order.state) == (2, "sent")
    assert kept(browser.get(address(order)))[f"quantity-{line.pk}"] == "3"


def test_more_than_ordered_is_refused_until_it_is_said_to_be_kept(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    browser = at("floor")
    form = came(line, 6, remark="one extra in the box")
    refused = post(browser, order, "receive", **form)
    fields = kept(refused)
    assert refused.status_code == 422
    assert (fields["delivery_note"], fields[f"quantity-{line.pk}"]) == ("DN 7", "6")
    assert fields["remark"] == "one extra in the box"
    assert '<details class="otherwise" open><summary>Some are spoilt' in refused.content.decode()
    page = said(post(browser, order, "receive", **form, keep_over="1"))
    assert "1 difference to settle with the supplier" in page and "more than ordered" in page
    assert Difference.objects.get().note == "one extra in the box"


def test_more_of_a_line_that_is_all_here_can_be_kept(at: At, stages: Stages) -> None:
    shop = stages.shop
    draft = buying.write_order(stages.clerk(DESK), shop.supplier, {shop.pulley.pk: 5, shop.bolt.pk: 40})
    order = buying.send(stages.clerk(DESK), draft)
    line = order.lines.get(part=shop.pulley)
    browser = at("floor")
    post(browser, order, "receive", **came(line, 5))
    assert kept(browser.get(address(order)))[f"quantity-{line.pk}"] == ""
    post(browser, order, "receive", **came(line, 2, delivery_note="DN 8", keep_over="1"))
    line.refresh_from_db()
    assert (line.received, Difference.objects.get().kind) == (7, "over")


def test_spoilt_pieces_do_not_come_in_and_stay_owed(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    typed = came(line, 3, **{f"spoilt-{line.pk}": "2", "remark": "bent"})
    post(at("floor"), order, "receive", **typed)
    line.refresh_from_db()
    difference = Difference.objects.get()
    assert (line.received, line.quantity) == (3, 5)
    assert (difference.kind, difference.quantity, difference.note) == ("spoilt", 2, "bent")


def test_spoilt_pieces_of_which_no_others_come_are_waited_for_no_more(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    typed = came(line, 3, **{f"spoilt-{line.pk}": "2", f"not-owed-{line.pk}": "1"})
    post(at("floor"), order, "receive", **typed)
    order.refresh_from_db()
    assert order.state == "closed" and order.lines.get().quantity == 3


def test_what_was_typed_of_spoilt_pieces_is_kept(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    typed = {f"spoilt-{line.pk}": "two", f"not-owed-{line.pk}": "1"}
    refused = post(at("floor"), order, "receive", **came(line, 3, **typed))
    assert refused.status_code == 422 and kept(refused)[f"spoilt-{line.pk}"] == "two"
    assert checked(refused, f"not-owed-{line.pk}") and not Receipt.objects.exists()


def test_something_else_that_came_is_written_down(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    form = {"other_line": str(line.pk), "other_pieces": "4", "other_what": ""}
    refused = post(at("floor"), order, "report", **form)
    assert refused.status_code == 422 and kept(refused)["other_pieces"] == "4"
    page = said(post(at("floor"), order, "report", **form | {"other_what": "long pulleys"}))
    assert "Written down: 4 x Orrin OR-40 pulley" in page and "long pulleys" in page


def test_what_is_asked_is_kept_and_shown(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    PurchaseLine.objects.update(due=timezone.localdate() - timedelta(days=2))
    browser = at(DESK)
    assert "2 days late" in said(browser.get(address(order)))
    page = said(post(browser, order, "remind", late=str(line.pk), note="by telephone"))
    assert "by clerk-buying: by telephone" in page
    refused = post(browser, order, "remind", late=str(line.pk), note="once more")
    assert refused.status_code == 422 and kept(refused)["note"] == "once more"
    assert Reminder.objects.count() == 1


def test_a_line_of_another_order_is_not_asked_for_here(at: At, stages: Stages) -> None:
    order, other = stages.sent(), stages.sent()
    refused = post(at(DESK), order, "remind", late=str(other.lines.get().pk), note="where is it")
    assert refused.status_code == 422 and not Reminder.objects.exists()


def test_another_day_is_written_down(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    due = timezone.localdate() + timedelta(days=30)
    form = {"line": str(line.pk), "due": f"{due:%Y-%m-%d}", "reason": ""}
    refused = post(at(DESK), order, "slip", **form)
    assert refused.status_code == 422 and kept(refused)["due"] == form["due"]
    post(at(DESK), order, "slip", **form | {"reason": "their mill stands"})
    line.refresh_from_db()
    assert line.due == due


def test_the_rest_of_a_line_is_waited_for_no_more_and_settled(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    browser = at(DESK)
    buying.receive(stages.clerk("floor"), order, delivery_note="DN 1", quantities={line.pk: 2})
    refused = post(browser, order, "close_short", short_line=str(line.pk), short_reason="")
    assert refused.status_code == 422 and "Say why" in said(refused)
    typed = {"short_line": str(line.pk), "short_reason": "made no more"}
    page = said(post(browser, order, "close_short", **typed))
    assert "3 × OR-40 are not waited for any more" in page
    difference = Difference.objects.get()
    page = said(post(browser, order, "settle", difference=difference.pk, how="credited"))
    order.refresh_from_db()
    assert order.state == "closed" and "by clerk-buying: credited" in page


def test_a_settled_difference_is_not_settled_again(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    difference = buying.close_short(stages.clerk(DESK), line, "made no more")
    browser = at(DESK)
    post(browser, order, "settle", difference=difference.pk, how="credited")
    assert post(browser, order, "settle", difference=difference.pk, how="again").status_code == 409


def test_the_floor_receives_and_follows_nothing_up(at: At, stages: Stages) -> None:
    order = stages.sent()
    line = order.lines.get()
    page = said(at("floor").get(address(order)))
    assert "Book what came" in page and "What is still to come" not in page and "PDF" not in page
    typed = {"short_line": str(line.pk), "short_reason": "gone"}
    assert post(at("floor"), order, "close_short", **typed).status_code == 403
