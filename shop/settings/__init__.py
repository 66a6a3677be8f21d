"""Configuration by environment only; every variable is read in one of these files.

`base` says what the project is made of, `stores` where it keeps things,
`api` how the REST side behaves, `mail` how letters leave, `alerts` what buying hears of.
"""

from .alerts import *  # noqa: F403
from .api import *  # noqa: F403
from .base import *  # noqa: F403
from .mail import *  # noqa: F403
from .stores import *  # noqa: F403
