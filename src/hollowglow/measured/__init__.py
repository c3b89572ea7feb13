"""What was measured on real props: photographs, meters, and what is kept of them."""
