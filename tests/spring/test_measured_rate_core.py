"""Measured rate: numpy's polyfit with its covariance, refusals and findings."""

import numpy as np
import pytest

from calc.errors import ContradictionError
from calc.quantity import METRIC
from calc.spring.measured_rate import STEP, Reading, measured_rate
from calc.step import run

INCH = 0.0254
LBF = 0.45359237 * 9.80665
READ = ((13.0, 441), (12.0, 885), (11.0, 1334), (10.0, 1772), (9.0, 2223), (10.5, 1555))


def rows(pairs=READ):
    return tuple(Reading(spring_length=long * INCH, press_force=push * LBF) for long, push in pairs)


def test_the_line_and_its_doubts_are_those_of_polyfit():
    """The free length is constant over slope; its variance by the covariance of both, to first order."""
    lengths, forces = (np.array(column) for column in zip(*READ, strict=True))
    (slope, constant), covariance = np.polyfit(lengths * INCH, forces * LBF, 1, cov=True)
    found = measured_rate(readings=rows())
    assert found.spring_rate == pytest.approx(-slope, rel=1e-10)
    assert found.free_length == pytest.approx(-constant / slope, rel=1e-10)
    assert found.rate_doubt == pytest.approx(2 * np.sqrt(covariance[0, 0]), rel=1e-8)
    toward = np.array([constant / slope**2, -1 / slope])
    assert found.free_length_doubt == pytest.approx(2 * np.sqrt(toward @ covariance @ toward), rel=1e-8)
    missed = np.abs(forces * LBF - np.polyval((slope, constant), lengths * INCH))
    assert found.largest_miss == pytest.approx(missed.max(), rel=1e-8)


def test_two_readings_make_a_line_without_scatter():
    found = measured_rate(readings=rows(((13.0, 450.0), (9.0, 2250.0))))
    assert found.spring_rate == pytest.approx(450 * LBF / INCH, rel=1e-12)
    assert found.free_length == pytest.approx(14 * INCH, rel=1e-12)
    assert found.rate_doubt is found.free_length_doubt is None
    assert found.largest_miss == pytest.approx(0.0, abs=1e-9)
    assert found.rate_off is found.free_length_off is None


def refusal(pairs):
    with pytest.raises(ContradictionError) as caught:
        measured_rate(readings=rows(pairs))
    return caught.value.field, str(caught.value).replace("\u00a0", " ")


def test_lengths_that_hardly_differ_are_refused():
    assert measured_rate(readings=rows(((10.0, 1000.0), (9.74, 1110.0)))).spring_rate > 0
    assert refusal(((10.0, 1000.0), (9.76, 1110.0))) == (
        "readings",
        "The lengths span only 0.24 in, too little for a rate. Allowed: 0.25 in or more; best most of the spring's travel.",
    )


def test_a_force_that_falls_is_refused():
    assert refusal(((10.0, 1000.0), (9.0, 1000.0))) == (
        "readings",
        "By these readings the force does not grow as the spring gets shorter. Allowed: more force at a shorter length; check "
        "that the two columns are not swapped.",
    )
    assert measured_rate(readings=rows(((10.0, 1000.0), (9.0, 1001.0)))).spring_rate == pytest.approx(LBF / INCH)


def told(rule, **changes):
    outcome = run(STEP, {**STEP.example_inputs(), **changes})
    found = next(finding for finding in outcome.findings if finding.rule == rule)
    return found.state, found.text.replace("\u00a0", " ")


def test_findings():
    assert told("readings enough", readings=rows()[:3])[0] == "close"
    bent = (*rows(), Reading(spring_length=8 * INCH, press_force=3000 * LBF))
    assert told("a straight line", readings=bent)[0] == "close"
    assert told("a straight line") == (
        "holds",
        "No reading misses the straight line by more than 4 lbf: one rate all the way.",
    )
    assert told("rate as stamped", stamped_rate=500 * LBF / INCH) == (
        "close",
        "The rate is −11.0 % off its stamp, beyond the usual −3.0 %: go on with the measured one.",
    )
    assert told("rate as stamped", stamped_rate=None) == (
        "not checked",
        "The rate against its stamp: needs rate by its stamp.",
    )
    assert told("free length as listed", stamped_free_length=14.5 * INCH)[0] == "close"


def test_the_chart_puts_each_reading_at_its_squash():
    chart = STEP.chart(run(STEP, {"readings": rows()}).values, METRIC)
    free = measured_rate(readings=rows()).free_length
    assert [dot.x for dot in chart.panels[0].dots] == pytest.approx(
        [1000 * (free - long * INCH) for long, _ in READ], rel=1e-9
    )
