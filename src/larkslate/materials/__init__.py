"""One lesson in, every document out."""
