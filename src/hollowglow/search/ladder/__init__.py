"""A string as a ladder: bounds, exact plans by pieces, branch and bound."""
