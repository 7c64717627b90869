"""Larkslate: a word-study and handwriting workbench for a classroom teacher."""

__version__ = "0.1.0"
