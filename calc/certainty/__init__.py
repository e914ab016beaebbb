"""How sure an answer is: where doubt comes from, what it does to a choice, how often a set works."""
