"""Strokes, joins, ruled lines: any word written as a class is taught to write it."""
