"""A shop's quote, judged over everything that it does not say."""
