"""Every letter that a supplier, an address or a part is written with, on the paper of an order to them."""

import csv
import unicodedata
from collections.abc import Callable
from email import message_from_bytes, policy
from io import StringIO
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core import mail

from inventory.buying import send, write_order
from inventory.models import PurchaseOrder, Supplier
from shop.documents import csv_of, pdf_of, typeface
from shop.letters import send_letter
from tests.clerks import Clerk
from tests.inventory.builders import a_part, an_offer
from tests.shop.reading_pdf import embedded, pages

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

NO_TYPE = typeface.UNKNOWN
ALPHABETS = {
    "Polish": "Zażółć gęślą jaźń ŁÓDŹ",
    "Czech": "Příliš žluťoučký kůň úpěl ďábelské ódy",
    "Turkish": "Gövde contası İğneli ŞÇÖĞÜ",
    "Greek": "Φλάντζα αντλίας Ώρα ΐ Ωμέγα",
    "Cyrillic": "Прокладка насоса ёжик Ґїєў Њђ",
    "of the trade": "⌀40 ±0.05 ½″ ≤ 3 µm → 4 × €5 — “so” ‘or’ „so“ …",
}
# As it is typed, and what is to be read.
ODD_SPELLINGS = {
    "Ring e\u0301 C\u030c o\u0308": "Ring é Č ö",
    "Ring x\u0323": "Ring x\u0323",
    "Din\u00adner\u200b\ufeff": "Dinner",
    "a\tb\u3000c": "a b c",
    'Ring "<b>" &amp; <i>': 'Ring "<b>" &amp; <i>',
}


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    return clerk("buying")


def ordered(buyer: User, name: str, supplier: str = "Corran Supply") -> PurchaseOrder:
    offer = an_offer(a_part(name=name))
    Supplier.objects.filter(pk=offer.supplier_id).update(name=supplier)
    offer.supplier.refresh_from_db()
    return write_order(buyer, offer.supplier, {offer.part_id: 4})


def read(order: PurchaseOrder) -> str:
    """The text of the paper's one sheet; where a line was broken is no matter."""
    (page,) = pages(pdf_of(order))
    return " ".join(page.split())


@pytest.mark.parametrize("letters", ALPHABETS.values(), ids=ALPHABETS)
def test_a_supplier_and_a_part_are_read_as_they_are_written(letters: str, buyer: User) -> None:
    page = read(ordered(buyer, f"Ring {letters}", f"Firm {letters}"))
    assert f"Firm {letters}" in page and f"Ring {letters}" in page and NO_TYPE not in page


def test_the_address_and_the_shop_and_the_suppliers_number_too(buyer: User, settings: Any) -> None:
    settings.SHOP_NAME = "Kuźnia Łódź"
    settings.SHOP_DELIVERY_ADDRESS = "Nábřeží 3 | ул. Ёлочная 5"
    order = ordered(buyer, "Ring")
    order.supplier.offers.update(their_number="ŁŻ 1/Ω")
    page = read(order)
    assert all(text in page for text in ("Kuźnia Łódź", "Nábřeží 3 ул. Ёлочная 5", "ŁŻ 1/Ω"))


@pytest.mark.parametrize("typed", ODD_SPELLINGS)
def test_accents_and_unseen_signs_do_no_harm(typed: str, buyer: User) -> None:
    page = read(ordered(buyer, typed))
    assert f"Tarn Foundry {ODD_SPELLINGS[typed]}" in page and NO_TYPE not in page


@pytest.mark.parametrize("name", ["泵 seal", "اتصال seal", "\U0001f642 seal", "\u0e1b\u0e31 seal"])
def test_a_letter_without_type_is_seen_and_named_and_whole_in_the_csv(name: str, buyer: User) -> None:
    order = ordered(buyer, name)
    page = read(order)
    foreign = name.split(maxsplit=1)[0]
    assert f"Tarn Foundry {NO_TYPE * len(foreign)} seal" in page and foreign[0] not in page
    assert all(f"U+{ord(letter):04X}" in page for letter in foreign)
    assert f"order-{order.number}.csv has every letter" in page
    (row,) = csv.DictReader(StringIO(csv_of(order)))
    assert row["part"] == f"Tarn Foundry {name}"


def test_many_letters_without_type_are_counted(buyer: User) -> None:
    page = read(ordered(buyer, "".join(map(chr, range(0x4E00, 0x4E10)))))
    assert "U+4E00" in page and "U+4E0B and 4 more" in page and "U+4E0C" not in page


def test_the_type_has_what_it_promises() -> None:
    known = typeface.letters()
    wanted = [*range(0x20, 0x7F), *range(0xA0, 0xAD), *range(0xAE, 0x250), *range(0x400, 0x526)]
    greek = [code for code in range(0x384, 0x3CF) if unicodedata.name(chr(code), "")]
    assert [chr(code) for code in (*wanted, *greek) if chr(code) not in known] == []
    assert NO_TYPE in known
    to_the_left = {letter for letter in known if unicodedata.bidirectional(letter) in ("R", "AL", "AN")}
    assert to_the_left == set(), "They would be written the wrong way round."


def test_only_our_type_is_in_it_and_little_of_it(buyer: User, settings: Any) -> None:
    settings.SHOP_DELIVERY_ADDRESS = " | ".join(ALPHABETS.values())
    pdf = pdf_of(ordered(buyer, "Ring"))
    assert {name.partition("+")[2] for name in embedded(pdf)} == {typeface.PLAIN, typeface.BOLD}
    assert len(pdf) < 60_000


def test_an_accent_stays_with_its_letter_where_a_word_is_broken(buyer: User) -> None:
    page = read(ordered(buyer, "x\u0323" * 60))
    broken = [word for word in page.split() if "\u0323" in word]
    assert len(broken) > 1 and "".join(broken) == "x\u0323" * 60
    assert all(word[0] == "x" for word in broken)


@pytest.mark.django_db(transaction=True)
def test_papers_that_are_made_at_once_are_right(
    buyer: User, run_in_threads: Callable[..., list[Any]]
) -> None:
    orders = [ordered(buyer, " ".join([letters] * 2)) for letters in ALPHABETS.values()]
    alone = [pdf_of(order) for order in orders]
    assert run_in_threads(*(lambda order=order: pdf_of(order) for order in orders * 3)) == alone * 3


def test_the_letter_says_it_with_the_same_letters(buyer: User, settings: Any) -> None:
    settings.SHOP_MAILS, settings.SHOP_NAME = True, "Kuźnia Łódź"
    order = ordered(buyer, "Φλάντζα 泵", "Завод Plzeň")
    Supplier.objects.update(email="desk@plzen.example")
    letter = send(buyer, PurchaseOrder.objects.get(pk=order.pk)).mails.get()
    send_letter(letter.pk)
    (sent,) = mail.outbox
    read_back = message_from_bytes(sent.message().as_bytes(), policy=policy.default)
    paper, lines = (part.get_content() for part in read_back.iter_attachments())
    assert "Kuźnia Łódź" in read_back["Subject"] and "Завод Plzeň" in str(sent.body)
    (page,) = pages(paper)
    assert f"Φλάντζα {NO_TYPE}" in page and "Завод Plzeň" in page and "Φλάντζα 泵" in lines
