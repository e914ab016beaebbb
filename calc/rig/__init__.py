"""The rig: what was entered, read from a file or a page, completed, and kept."""
