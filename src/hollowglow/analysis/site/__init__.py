"""The place where it hangs and the boxes that it is stored in."""
