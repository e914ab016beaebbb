"""NHTSA HS-809 868, trends in static stability factor: fleet mean and formula read, the angle an identity."""

SOURCE = "nhtsa_hs_809_868"


def test_T05_tilt_angle_of_a_rigid_vehicle(check):
    check("T05")
