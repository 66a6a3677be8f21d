"""An order to a supplier as a PDF, black on white: it is printed, copied and read at a packing bench."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import partial
from io import BytesIO
from threading import Lock
from unicodedata import combining
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from inventory.models import PurchaseOrder

from .purchase import PurchasePaper, purchase_paper
from .typeface import BOLD, PLAIN, UNKNOWN, Setter

TEXT = ParagraphStyle("text", fontName=PLAIN, fontSize=9, leading=12)
TITLE = ParagraphStyle("title", parent=TEXT, fontName=BOLD, fontSize=17, leading=22)
SIZE = 8.5
# Heading, width in mm, and whether it holds figures.
COLUMNS = (
    ("Pos", 9, True),
    ("Your number", 26, False),
    ("Our number", 30, False),
    ("Part", 46, False),
    ("Pieces", 14, True),
    ("Each", 19, True),
    ("Sum", 22, True),
    ("Due", 20, True),
)
PADDING = 2
MARGIN = 12 * mm
FRAME = 6  # What reportlab keeps free within the margins.
RULE = 0.6
NAMED = 12  # As many missing letters are named at the foot.
# Whatever cuts a font down to a document's letters reads it from one place for all documents at once.
ONE_AT_A_TIME = Lock()
GRID = TableStyle(
    [
        ("FONT", (0, 0), (-1, 0), BOLD, SIZE, 1.25 * SIZE),
        ("FONT", (0, 1), (-1, -1), PLAIN, SIZE, 1.25 * SIZE),
        *[("ALIGN", (nth, 0), (nth, -1), "RIGHT") for nth, one in enumerate(COLUMNS) if one[2]],
        ("LINEABOVE", (0, 0), (-1, 0), 2 * RULE, colors.black),
        ("LINEBELOW", (0, 0), (-1, 0), RULE, colors.black),
        ("LINEBELOW", (0, 1), (-1, -1), RULE / 3, colors.black),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), PADDING),
        ("RIGHTPADDING", (0, 0), (-1, -1), PADDING),
    ]
)


def pdf_of(order: PurchaseOrder) -> bytes:
    """The whole paper; the same order gives the same bytes.

    A letter that it has no type for is shown as a sign that nobody overlooks, and named at the foot.
    """
    written = purchase_paper(order)
    with ONE_AT_A_TIME:
        setter = Setter()
        return _built(_in_type(written, setter), setter.missing)


def _built(paper: PurchasePaper, missing: tuple[str, ...]) -> bytes:
    out = BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize=A4,
        leftMargin=MARGIN - FRAME,
        rightMargin=MARGIN - FRAME,
        topMargin=MARGIN,
        bottomMargin=MARGIN + 8 * mm,
        title=f"Order {paper.number}",
        author=paper.shop,
        invariant=1,
    )
    document.build(
        [*_head(paper), _lines(paper), *_foot(paper, missing)],
        canvasmaker=partial(_Numbered, paper.number),
    )
    return out.getvalue()


def _in_type(paper: PurchasePaper, setter: Setter) -> PurchasePaper:
    rows = tuple(
        replace(row, their_number=setter(row.their_number), number=setter(row.number), what=setter(row.what))
        for row in paper.rows
    )
    return replace(
        paper,
        supplier=setter(paper.supplier),
        deliver_to=tuple(map(setter, paper.deliver_to)),
        shop=setter(paper.shop),
        currency=setter(paper.currency),
        rows=rows,
    )


def _head(paper: PurchasePaper) -> list[Flowable]:
    sent = f"of {paper.sent_on:%-d %B %Y}" if paper.sent_on else "DRAFT: this is no order yet"
    parties = Table(
        [
            [
                Paragraph(f"<b>To</b><br/>{escape(paper.supplier)}", TEXT),
                Paragraph("<br/>".join(["<b>Deliver to</b>", *map(escape, paper.deliver_to)]), TEXT),
                Paragraph(f"<b>From</b><br/>{escape(paper.shop)}", TEXT),
            ]
        ],
        colWidths=[62 * mm] * 3,
        style=TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)]),
    )
    return [
        Paragraph(f"Order {paper.number}", TITLE),
        Paragraph(sent, TEXT),
        Spacer(0, 4 * mm),
        parties,
        Spacer(0, 5 * mm),
    ]


def _lines(paper: PurchasePaper) -> Table:
    rows = [
        (
            str(row.position),
            row.their_number,
            row.number,
            row.what,
            str(row.quantity),
            money(row.price),
            money(row.net),
            f"{row.due:%-d %b %Y}",
        )
        for row in paper.rows
    ]
    headings = tuple(name for name, _, _ in COLUMNS)
    widths = [width * mm for _, width, _ in COLUMNS]
    fitted = [
        [_fitted(text, width - 2 * PADDING) for text, width in zip(row, widths, strict=True)]
        for row in (headings, *rows)
    ]
    return Table(fitted, widths, repeatRows=1, style=GRID)


def _fitted(text: str, width: float) -> str:
    """The text in as many lines as the column needs; plain text is set much quicker than paragraphs."""
    lines = []
    for line in simpleSplit(text, PLAIN, SIZE, width):
        rest = line
        while _wide(rest) > width:  # One long word.
            fits = next(n for n in range(len(rest), 0, -1) if n == 1 or _fits(rest, n, width))
            lines.append(rest[:fits])
            rest = rest[fits:]
        lines.append(rest)
    return "\n".join(lines)


def _fits(text: str, n: int, width: float) -> bool:
    """Whether its first letters fit, and no accent is torn off the last of them."""
    return _wide(text[:n]) <= width and not (text[n:] and combining(text[n]))


def _wide(text: str) -> float:
    return float(stringWidth(text, PLAIN, SIZE))


def _foot(paper: PurchasePaper, missing: tuple[str, ...]) -> list[Flowable]:
    sums = [
        ["Goods", money(paper.goods)],
        ["Carriage", money(paper.carriage) if paper.carriage else "free"],
        [f"Together ({paper.currency})", money(paper.total)],
    ]
    table = Table(sums, [40 * mm, 30 * mm], hAlign="RIGHT")
    table.setStyle(
        TableStyle(
            [
                ("FONT", (0, 0), (-1, -2), PLAIN, 9),
                ("FONT", (0, -1), (-1, -1), BOLD, 9),
                ("LINEABOVE", (0, -1), (-1, -1), RULE, colors.black),
                ("ALIGN", (1, 0), (1, -1), "RIGHT"),
            ]
        )
    )
    notes = [f"Please put our number {paper.number} on the delivery note and on the bill."]
    if missing:
        notes.append(_about(missing, paper.number))
    said = [Paragraph(escape(note), TEXT) for note in notes]
    return [Spacer(0, 3 * mm), table, Spacer(0, 6 * mm), *said]


def _about(missing: tuple[str, ...], number: str) -> str:
    """Which letters they were, by Unicode's numbers, and where the texts of the lines stand whole."""
    named = ", ".join(f"U+{ord(letter):04X}" for letter in missing[:NAMED])
    more = f" and {len(missing) - NAMED} more" if len(missing) > NAMED else ""
    return (
        f"{UNKNOWN} stands for a letter that this paper cannot show: {named}{more}. The file "
        f"order-{number}.csv has every letter of what is ordered."
    )


def money(amount: Decimal) -> str:
    """'1 234.50', with a space that does not break."""
    return f"{amount:,.2f}".replace(",", "\u00a0")


class _Numbered(Canvas):
    """Writes the order's number, the page and how many there are at the foot of every page."""

    def __init__(self, number: str, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]  # as reportlab hands them on
        self._number = number
        self._pages: list[dict[str, object]] = []

    def showPage(self) -> None:  # noqa: N802  # reportlab's name
        self._pages.append(dict(self.__dict__))
        self._startPage()  # type: ignore[attr-defined]  # left out of its stubs

    def save(self) -> None:
        for nth, page in enumerate(self._pages, 1):
            self.__dict__.update(page)
            self.setFont(PLAIN, 8)
            self.drawString(MARGIN, MARGIN, f"Order {self._number}")
            self.drawRightString(A4[0] - MARGIN, MARGIN, f"Sheet {nth} of {len(self._pages)}")
            super().showPage()
        super().save()
