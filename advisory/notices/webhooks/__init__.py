"""What is told to a workshop's own system: signing, where it may go, how it is posted."""
