"""The server: addresses, who may ask, how it begins and ends."""
