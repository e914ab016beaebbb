"""NCEES FE Reference Handbook, wire strength: secondary, an arithmetic check; its MPa constants are lower than the ksi ones."""

SOURCE = "fe_reference_handbook"


def test_W04_strength_of_music_wire(check):
    check("W04")
