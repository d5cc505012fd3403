"""Proofs that nothing in the log was rewritten: Merkle tree, checkpoints, signed notes."""
