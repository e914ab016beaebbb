"""Bird and Ross, Mechanical Engineering Principles, Ideal gas laws: problem 2 read; problem 3 is an identity, its answer computed."""

SOURCE = "bird_ross"


def test_G01_final_pressure_by_boyle(check):
    check("G01")


def test_G02_piston_force_by_boyle(check):
    check("G02")
