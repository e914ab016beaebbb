"""Published answers beside ours: the rows of data/published, what works them out, and the page that shows both.

The expected values stand in the data, as they are printed; nothing here knows them.
The modules whose names end in `_rows` put a row's inputs into the handbook's own functions.
The tests of tests/published and the page of docs/reference use the same rows and the same functions.
"""

from __future__ import annotations

from calc.desk.validation.page import validation
from calc.desk.validation.rows import Answers, Printed, Row, all_rows, find_row
from calc.desk.validation.working import WORK, work

__all__ = ["WORK", "Answers", "Printed", "Row", "all_rows", "find_row", "validation", "work"]
