"""How fast it all is: every budget as one measurement against another of the same run, never as a test that passes."""
