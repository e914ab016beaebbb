"""A stand-in for `calc`, with which the worker can be tested alone."""
