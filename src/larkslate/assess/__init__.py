"""Marking, diagnosis of spellings, and standings."""
