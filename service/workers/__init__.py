"""What is done after a command was answered: follow the log, publish, and tell subscribers."""
