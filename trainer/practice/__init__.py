"""One practice session: what comes next, what was answered, what is kept."""
