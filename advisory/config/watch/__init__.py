"""What whoever runs the service looks at: the log, whether it is well, and its figures."""
