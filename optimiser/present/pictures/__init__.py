"""Pictures of answers: plain records in, one `<svg>` element out. Nothing here computes."""

import logging
import os

_LOG = logging.getLogger("matplotlib")
_USUAL = _LOG.level
# Where Matplotlib keeps its settings, and that it lists the fonts, is no news for a maker.
_LOG.setLevel(logging.ERROR)
# Nothing here opens a window, so that which one a maker's other programs ask for is no matter.
_WINDOW = os.environ.pop("MPLBACKEND", None)
try:
    import matplotlib.font_manager  # noqa: F401  # says all of that as it is loaded
finally:
    _LOG.setLevel(_USUAL)
    if _WINDOW is not None:
        os.environ["MPLBACKEND"] = _WINDOW
