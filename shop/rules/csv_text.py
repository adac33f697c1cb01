"""Text for the cell of a table that a spreadsheet may open.

A spreadsheet takes a cell that begins with = + - @, a tab or a line end for a formula. Data comes from many
hands, so such a text gets an apostrophe in front, and so does one that would look as if it had got one;
plain numbers stay as they are. Whoever reads the file with a program takes one apostrophe off where it
stands before such a character, and has the value back.

>>> unexecuted("=1+1"), unexecuted("-18"), unexecuted("-18 or so"), unexecuted("'=1")
("'=1+1", '-18', "'-18 or so", "''=1")
"""

from __future__ import annotations

import re

NUMBER = re.compile(r"-?\d+(\.\d+)?")
# The wide forms too: some spreadsheets fold them into the plain ones on import.
FORMULA = re.compile("'*[=+\\-@\t\r\n＝＋－＠]")


def unexecuted(text: str) -> str:
    """The text itself, or with an apostrophe in front where a spreadsheet would work it out."""
    return f"'{text}" if FORMULA.match(text) and not NUMBER.fullmatch(text) else text
