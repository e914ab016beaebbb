"""Norton, Table 13-4, wire strength: secondary; title and table number from memory.

W07 and W12 are identities: how far its constants lie from the ASTM minimum tables, which nobody prints.
"""

import pytest

from calc.desk.validation.coil_rows import minimum_table

SOURCE = "norton"


@pytest.mark.parametrize(("name", "sizes"), [("W07", 11), ("W12", 9)])
def test_W07_and_W12_its_constants_fit_the_minimum_tables(check, name, sizes):
    assert len(minimum_table(check(name))) == sizes
