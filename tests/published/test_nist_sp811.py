"""NIST Special Publication 811 (2008), appendix B.8.

U01 to U05 secondary: read in pages that quote it. The other factors are from memory; U12 is an identity.
"""

import pytest

from calc.desk.validation import find_row, work
from calc.units import from_si, split_number, to_si

SOURCE = "nist_sp811"


@pytest.mark.parametrize("name", ["U01", "U02", "U03", "U05", "U06", "U07", "U08", "U09", "U10", "U11", "U12"])
def test_U01_to_U12_each_factor_there_and_back(check, name):
    check(name)
    row = find_row(SOURCE, name)
    number, typed = split_number(row.text("value"))
    value, kind = work(row)["value"]
    printed = kind.unit(row.printed("value").unit)
    there = from_si(value, printed)
    assert from_si(to_si(there, printed), kind.unit(typed)) == pytest.approx(number, rel=1e-15)


def test_U04_standard_gravity(check):
    check("U04")
