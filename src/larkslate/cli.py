"""The command line."""


def main() -> int:
    """Placeholder until the rooms land."""
    return 0
