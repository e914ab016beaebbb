"""Every set of springs from a list, judged by the hard limits, and the best of them ranked."""
