"""Facts -> the lines of the sheet, each with its evidence."""

from narrate.reckon.ledgers.lines import Evidencer, write_lines

__all__ = ["Evidencer", "write_lines"]
