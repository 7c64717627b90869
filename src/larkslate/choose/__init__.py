"""Which words and sentences: pools, filters, the optimiser, the sentence bank."""
