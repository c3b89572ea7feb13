"""Feed plans as they are chosen, priced and tried: what a feed is made of, how far it goes, what it does."""
