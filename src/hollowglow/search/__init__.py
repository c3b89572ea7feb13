"""What could be otherwise: feed plans and fills, compared."""
