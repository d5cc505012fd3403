"""Read models: what can be asked of a log, at any moment. All pure."""
