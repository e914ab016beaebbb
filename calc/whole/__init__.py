"""The whole rig at rest on its springs: corners, pairs of sets, sides and leveling."""
