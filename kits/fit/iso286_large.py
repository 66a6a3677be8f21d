"""The tables of ISO 286-1 for nominal sizes above 500 up to 3150 mm, in micrometres.

Laid out as kits/fit/iso286_tables.py, entered from memory and held against public reproductions and
the standard's own formulas (see tests/published/test_fit_large.py); the text of the standard itself
was not seen. Here it gives fewer letters (d to u without cd, ef, fg and j; holes likewise), no IT01
and IT0, and no Delta: a hole K to U mirrors its shaft in every grade.
"""

from __future__ import annotations

from typing import Final

from kits.fit.iso286_tables import rows

MAIN_ENDS_MM: Final = (630, 800, 1000, 1250, 1600, 2000, 2500, 3150)

FINE_ENDS_MM: Final = (
    *(560, 630, 710, 800, 900, 1000, 1120, 1250),
    *(1400, 1600, 1800, 2000, 2240, 2500, 2800, 3150),
)

# Standard tolerances IT1 to IT18, by MAIN_ENDS_MM.
TOLERANCES: Final = rows("""
    1       9    10    11    13    15    18    22    26
    2      11    13    15    18    21    25    30    36
    3      16    18    21    24    29    35    41    50
    4      22    25    28    33    39    46    55    68
    5      32    36    40    47    55    65    78    96
    6      44    50    56    66    78    92   110   135
    7      70    80    90   105   125   150   175   210
    8     110   125   140   165   195   230   280   330
    9     175   200   230   260   310   370   440   540
    10    280   320   360   420   500   600   700   860
    11    440   500   560   660   780   920  1100  1350
    12    700   800   900  1050  1250  1500  1750  2100
    13   1100  1250  1400  1650  1950  2300  2800  3300
    14   1750  2000  2300  2600  3100  3700  4400  5400
    15   2800  3200  3600  4200  5000  6000  7000  8600
    16   4400  5000  5600  6600  7800  9200 11000 13500
    17   7000  8000  9000 10500 12500 15000 17500 21000
    18  11000 12500 14000 16500 19500 23000 28000 33000
""")

# How far below nominal the shafts d to h begin (-es), by MAIN_ENDS_MM. Holes D to H mirror them.
BELOW: Final = rows("""
    d  260 290 320 350 390 430 480 520
    e  145 160 170 195 220 240 260 290
    f   76  80  86  98 110 120 130 145
    g   22  24  26  28  30  32  34  38
    h    0   0   0   0   0   0   0   0
""")

# How far above nominal the shafts k to p begin (ei), by MAIN_ENDS_MM.
ABOVE: Final = rows("""
    k    0   0   0   0   0   0   0   0
    m   26  30  34  40  48  58  68  76
    n   44  50  56  66  78  92 110 135
    p   78  88 100 120 140 170 195 240
""")

# The same for r to u, by FINE_ENDS_MM.
ABOVE_FINE: Final = rows("""
r 150 155 175 185 210  220  250  260  300  330  370  400  440  460  550  580
s 280 310 340 380 430  470  520  580  640  720  820  920 1000 1100 1250 1400
t 400 450 500 560 620  680  780  840  960 1050 1200 1350 1500 1650 1900 2100
u 600 660 740 840 940 1050 1150 1300 1450 1600 1850 2000 2300 2500 2900 3200
""")
