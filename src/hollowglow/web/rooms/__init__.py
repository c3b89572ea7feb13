"""The rooms: what each shows, its addresses, pages, scripts and long work; loaded by whoever first asks for it."""
