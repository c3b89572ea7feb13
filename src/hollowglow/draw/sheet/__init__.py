"""What every picture is made of: records, ink, axes, and ways onto screen and paper."""
