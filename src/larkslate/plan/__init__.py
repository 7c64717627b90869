"""Units and lessons: what happens in each half hour, from the sequence and the standings."""
