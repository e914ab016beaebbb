"""From a result to its answer, once: what is told of an order, its sheet, a quote, a proving; a writer makes it text or file."""
