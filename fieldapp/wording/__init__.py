"""What pages, paper and terminal say in the same words."""
