"""Paper: judges' cards, gate sheets, results, explanations and programmes as PDF."""
