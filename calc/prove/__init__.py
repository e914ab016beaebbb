"""The built rig against what was ordered: heights and loads that were read, and what to turn."""
