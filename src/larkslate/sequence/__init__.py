"""What is taught when: skills, points, themes, taught sets and reach."""
