"""Commands about lights that are lit and shows that are heard."""
