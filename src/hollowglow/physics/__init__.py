"""Plain functions of numbers and arrays: copper, light drivers, colour. They know no display."""
