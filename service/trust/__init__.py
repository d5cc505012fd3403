"""What proves the log to others: tree, checkpoints, keys, signed results, bundles."""
