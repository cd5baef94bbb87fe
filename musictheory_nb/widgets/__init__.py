"""What a student sees and touches in a notebook."""
