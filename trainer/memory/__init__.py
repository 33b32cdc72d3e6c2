"""What was heard, how well, and when it falls due again."""
