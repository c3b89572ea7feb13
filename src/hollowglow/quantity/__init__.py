"""Units in and out: what a person types becomes SI, what is computed becomes words."""
