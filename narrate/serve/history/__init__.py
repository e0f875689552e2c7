"""The life of one vehicle, out of the book: visits in order, what was fitted, how readings went, what is still open.

In: a book and a VIN, plate or unit number. Out: a History, and from it a page for the shop or for who buys the vehicle,
or a plot of its readings.
"""

from narrate.serve.history.arrange import arrange_history
from narrate.serve.history.gather import History, Visit, open_history

__all__ = ["History", "Visit", "arrange_history", "open_history"]
