"""What a word is: sounds, graphemes, syllables, morphemes, joins, contractions, needs."""
