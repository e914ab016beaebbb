"""No module and no function grows so long that nobody holds it in the head, unless a line in it says why."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
MOST_OF_A_MODULE, MOST_OF_A_FUNCTION = 400, 60
WHY_A_MODULE = f"# Over {MOST_OF_A_MODULE} lines: "
WHY_A_FUNCTION = f"# Over {MOST_OF_A_FUNCTION} lines: "
# Still to be shortened or explained; this list may only get shorter.
DEBT = frozenset(
    [
        "calc/damper/bump_stop.py",
        "calc/damper/bump_stop.py:bump_stop",
        "calc/damper/force_targets.py",
        "calc/damper/force_targets.py:force_targets",
        "calc/damper/force_targets.py:_chart",
        "calc/damper/gas.py",
        "calc/damper/length.py:length",
        "calc/damper/measured_curve.py",
        "calc/damper/measured_curve.py:measured_curve",
        "calc/drawing/axle_plan.py:axle_plan",
        "calc/geometry/articulation.py",
        "calc/geometry/articulation.py:articulation",
        "calc/geometry/lever_arm.py:lever_arm",
        "calc/geometry/mount_places.py",
        "calc/geometry/mount_places.py:mount_places",
        "calc/geometry/travel_table.py",
        "calc/geometry/travel_table.py:travel_table",
        "calc/limits.py",
        "calc/prove/findings.py",
        "calc/prove/prove.py",
        "calc/quantity.py",
        "calc/quote/judge.py",
        "calc/quote/rules.py",
        "calc/ride/anti_roll_bar.py:anti_roll_bar",
        "calc/ride/corner_modes.py",
        "calc/ride/pitch_bounce.py",
        "calc/ride/rig_modes.py",
        "calc/ride/rig_modes.py:rig_modes",
        "calc/ride/roll.py",
        "calc/ride/roll.py:roll",
        "calc/ride/rough_road.py",
        "calc/ride/rough_road.py:rough_road",
        "calc/ride/wanted_roll_stiffness.py:wanted_roll_stiffness",
        "calc/rig/axle.py",
        "calc/search/choose.py",
        "calc/sheet/rig/page.py",
        "calc/sheet/rig/page.py:_answer",
        "calc/sheet/rig/springs.py",
        "calc/spring/_stack_working.py",
        "calc/spring/coil.py",
        "calc/spring/coil.py:coil",
        "calc/spring/crossover.py",
        "calc/spring/crossover.py:crossover",
        "calc/spring/measured_rate.py:measured_rate",
        "calc/spring/preload.py",
        "calc/spring/preload.py:preload",
        "calc/spring/stack.py:stack",
        "calc/step.py",
        "calc/step.py:check_finding",
        "calc/tables.py",
        "calc/terminal.py",
        "calc/units.py",
        "calc/vocabulary.py",
        "calc/weight/raised_axle.py",
        "calc/weight/raised_axle.py:raised_axle",
        "calc/weight/weight_change.py:weight_change",
    ]
)


def too_long() -> Iterator[tuple[str, bool]]:
    """Every module and function of `calc` that is too long, and whether a line of it says why."""
    for path in sorted((ROOT / "calc").rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        lines, name = text.splitlines(), path.relative_to(ROOT).as_posix()
        if len(lines) > MOST_OF_A_MODULE:
            yield name, any(line.startswith(WHY_A_MODULE) for line in lines)
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef) and node.end_lineno is not None:
                body = lines[node.lineno - 1 : node.end_lineno]
                if len(body) > MOST_OF_A_FUNCTION:
                    yield f"{name}:{node.name}", any(line.strip().startswith(WHY_A_FUNCTION) for line in body)


def test_what_is_too_long_says_why() -> None:
    silent = {name for name, says_why in too_long() if not says_why}
    assert silent - DEBT == set(), "too long without a line that says why"
    assert DEBT - silent == set(), "no longer too long: take it from the list"


def test_nobody_explains_a_length_that_is_none() -> None:
    said = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "calc").rglob("*.py")
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.strip().startswith((WHY_A_MODULE, WHY_A_FUNCTION))
    }
    assert said <= {name.partition(":")[0] for name, _ in too_long()}
