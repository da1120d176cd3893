"""Photos: of labels to be read, of damage to be kept."""
