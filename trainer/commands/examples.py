"""The examples at the end of a command's help."""


def examples(*lines: str) -> str:
    """The examples under a command's help, each on its own line."""
    return "\b\nExamples:\n" + "\n".join(f"  {line}" for line in lines)
