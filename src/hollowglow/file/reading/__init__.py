"""From text to a Display: inheritance, references, assumptions, and every problem with its line."""
