"""Units, constants, materials and errors. Imports nothing of ours."""
