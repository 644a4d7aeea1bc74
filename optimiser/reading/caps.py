"""Caps on what is read: a wrong file ends in a message, not in minutes or gigabytes.

Each is far above what a workshop's files hold, and its message says what to do. Caps on single
numbers stand in `exact_numbers`, on the search for like names in `names`.
"""

from __future__ import annotations

MOST_BYTES = 20_000_000
"""Of any file: no price list, sheet or recipe is that long."""

MOST_BRIEF_BYTES = 500_000
"""Of a brief: a line for each of a thousand limits takes a tenth of it."""

MOST_KEYS = 10_000
"""Of a brief, list items included: each may be a mistake with a name to look for."""

MOST_KEY_PARTS = 16
"""Of one dotted key: the standard reader's time and memory grow with the square."""

MOST_DIGITS_IN_A_ROW = 1_000
"""In a brief: hexadecimal digits have no cap of their own, and the square again."""

MOST_FILES = 50
"""Named in one list of a brief: each may take as long as the largest."""

MOST_ROWS = 20_000
"""Of a table, blank ones included."""

MOST_COLUMNS = 1_000
"""Of a table."""

MOST_CELLS = 1_000_000
"""Of a table, those that are filled: 20,000 scenarios of 50 ingredients."""

ROWS_ABOVE_HEADINGS = 20
"""So many filled rows of a table are looked at for the headings."""

MOST_LETTERS = 20_000_000
"""Of a table: in a workbook one long text may stand in every cell, stored once."""

LONGEST_CELL = 32_767
"""In letters; a spreadsheet keeps no more either."""

LONGEST_CURRENCY = 12
"""In letters; longer texts name no currency."""

MOST_UNPACKED_BYTES = 100_000_000
"""Of a workbook: a zip file of a megabyte can unpack to a thousand."""

MOST_ELEMENTS = 2_500_000
"""Of the XML in a workbook: each takes memory, whether or not it is a cell."""

DEEPEST_ELEMENT = 100
"""Of the XML in a workbook: elements within elements end in a crash of the XML reader."""

MOST_MISTAKES = 1_000
"""That are told: who has more corrects their cause first."""

MOST_LINES = 1_000
"""Of a pasted recipe, those that say something."""

LONGEST_LINE = 300
"""Of a pasted recipe, in letters."""
