"""What speed and size are promised, measured on this machine by one command: python -m benchmarks."""
