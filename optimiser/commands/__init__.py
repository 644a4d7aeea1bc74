"""What each command does: read, answer, phrase. Returns the text and the exit status."""
