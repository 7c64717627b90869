"""The migrations of the tables, oldest first; each stands for itself and is never changed afterwards."""
