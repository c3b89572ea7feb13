"""The circuit: voltages, faults, mains, tolerances, what lights draw, what a meter reads."""
