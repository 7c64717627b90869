"""What is stored: classes, students, plans, sittings, responses; backup, export, erase."""
