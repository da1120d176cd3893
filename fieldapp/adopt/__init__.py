"""A kit around parts that exist: a measured heap and a frame become parts with IDs, old marks kept. See README.md."""
