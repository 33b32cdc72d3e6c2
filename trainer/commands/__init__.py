"""What each command does: one file a command, called by trainer.cli, which reads the words and the clock."""
