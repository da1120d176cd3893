"""The pages that phones see: one file for each thing a person looks at."""
