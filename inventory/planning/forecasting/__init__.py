"""What will be asked for of each part: a distribution for very many parts at once.

Why own code, where libraries forecast: statsforecast, the best kept of them, loops over series, gives no
distribution of counts, keeps Croston's constant at 0.1 and its figures in single precision, and brings a
heavy stack with it. Here all methods work on whole columns of a table (parts, periods), NaN before a part was
on sale. Where statsforecast has the method it is the oracle of the tests.

Every method returns its forecast of each period from the periods before it, so that one pass gives all the
forecasts that the choice is made from.
"""

from .averages import moving_average
from .choosing import forecast_many
from .counts import count_pmf, quantiles, sample_pmf
from .forecast import Forecast, Forecasts
from .intervals import croston, sba
from .methods import METHODS
from .probabilities import tsb
from .resampling import bootstrap
from .scores import count_score, sample_score
from .seasons import seasonal
from .smoothing import ses

__all__ = [
    "METHODS",
    "Forecast",
    "Forecasts",
    "bootstrap",
    "count_pmf",
    "count_score",
    "croston",
    "forecast_many",
    "moving_average",
    "quantiles",
    "sample_pmf",
    "sample_score",
    "sba",
    "seasonal",
    "ses",
    "tsb",
]
