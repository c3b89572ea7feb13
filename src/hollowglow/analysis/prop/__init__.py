"""One prop: what sits where in it, how it is built, what light comes out."""
