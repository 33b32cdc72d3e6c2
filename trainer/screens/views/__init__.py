"""What the screen of the progress shows, one view a file: pure functions from what was seen to tables and words."""
