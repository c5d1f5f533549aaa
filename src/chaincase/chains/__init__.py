"""What a chain is: kinds, their dimensions with key letters and wear, designations and their grammar."""
